// Every entry of malformed_cases.toml: the right case with one thing made wrong, what must be said, and the exit code.
#include <gtest/gtest.h>

#include <filesystem>
#include <map>

#include "tests/cases/case_text_helper.h"
#include "tests/faults/process_helper.h"

namespace polepitch {
namespace {

std::string text_of(const TomlNode& entry, const std::string& key) {
  const TomlNode* node = find(entry, key);
  return node != nullptr && node->text() != nullptr ? *node->text() : "";
}

/// The case of an entry: `text`, or the base with `replace` pairs and `append`; `bytes` are put in front.
std::string case_of(const TomlNode& entry) {
  std::string text = find(entry, "text") != nullptr ? text_of(entry, "text") : small_case();
  if (const TomlNode* pairs = find(entry, "replace"))
    for (std::size_t i = 0; i + 1 < pairs->array()->size(); i += 2)
      text = replaced(text, *(*pairs->array())[i].text(), *(*pairs->array())[i + 1].text());
  if (const TomlNode* bytes = find(entry, "bytes")) {
    std::string front;
    for (const TomlNode& byte : *bytes->array()) front += static_cast<char>(*byte.integer());
    const auto at = text.find("Small");  // inside the title; at the front when the text has none
    text.insert(at == std::string::npos ? 0 : at, front);
  }
  return text_of(entry, "top") + text + text_of(entry, "append");
}

void try_entry(const TomlNode& entry) {
  const FreshDirectory directory;
  if (const TomlNode* files = find(entry, "files"))
    for (const TomlEntry& file : *files->table()) write_text(directory / file.key, *file.value.text());
  write_text(directory / "machine.toml", case_of(entry));
  ProcessOptions options;
  options.directory = directory.path();
  const Outcome outcome = run_program({"check", "machine.toml", "-o", "results"}, options);
  const TomlNode* code = find(entry, "exit");
  EXPECT_EQ(outcome.exit_code, code != nullptr ? *code->integer() : 3) << outcome.err;
  for (const TomlNode& words : *find(entry, "expect")->array())
    EXPECT_NE(outcome.err.find(*words.text()), std::string::npos)
        << "expected: " << *words.text() << "\nsaid: " << outcome.err;
  EXPECT_EQ(outcome.out, "");
  EXPECT_FALSE(std::filesystem::exists(directory / "results"));
}

const TomlNode& entries() {
  static const std::string path = std::string(TESTS_DIR) + "/faults/malformed_cases.toml";
  static const TomlNode root = parse_toml(read_text_file(path), path);
  return *find(root, "fault");
}

TEST(MalformedCase, TheBaseIsRight) {
  const FreshDirectory directory;
  write_text(directory / "machine.toml", small_case());
  const Outcome outcome = run_program({"check", directory / "machine.toml", "-o", directory / "results"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.err, "");
  EXPECT_NE(outcome.out.find("winding_factor"), std::string::npos);
  for (const char* name : {"summary.json", "section.png", "section.svg", "mesh.png", "mesh.svg"})
    EXPECT_TRUE(std::filesystem::exists(directory / "results" + "/" + name)) << name;
}

TEST(MalformedCase, TwelveClassesOfAtLeastThree) {
  std::map<std::string, int> classes;
  for (const TomlNode& entry : *entries().array()) ++classes[text_of(entry, "class")];
  EXPECT_GE(classes.size(), 12U);
  for (const auto& [name, count] : classes) EXPECT_GE(count, 3) << name;
}

TEST(MalformedCase, EachIsRefusedInTheUsersWords) {
  for (const TomlNode& entry : *entries().array()) {
    SCOPED_TRACE(text_of(entry, "class") + ": " + text_of(entry, "name"));
    try_entry(entry);
  }
}

}  // namespace
}  // namespace polepitch
