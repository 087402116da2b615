// The pages in docs/cases and the quick start name ready cases and pictures that exist; each ready case has its page.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <regex>

#include "tests/cases/ready_case_helper.h"

namespace polepitch {
namespace {

const std::string kDocs = std::string(SOURCE_DIR) + "/docs";

std::vector<std::string> found(const std::string& text, const std::string& pattern) {
  const std::regex expression(pattern);
  std::vector<std::string> matches;
  for (std::sregex_iterator i(text.begin(), text.end(), expression), end; i != end; ++i) matches.push_back((*i)[1]);
  return matches;
}

void expect_commands_name_ready_cases(const std::string& page) {
  const std::vector<std::string> cases = ready_cases();
  const std::vector<std::string> named =
      found(read_text_file(page), "\\n    polepitch (?:new|check|run) ([a-z0-9-]+)(?:\\.toml)?");
  EXPECT_FALSE(named.empty()) << page;
  for (const std::string& name : named)
    EXPECT_TRUE(std::binary_search(cases.begin(), cases.end(), name)) << page << " names " << name;
}

TEST(Lessons, EachReadyCaseHasAPageWithItsCommandsAndAPicture) {
  for (const std::string& name : ready_cases()) {
    const std::string page = kDocs + "/cases/" + name + ".md", text = read_text_file(page);
    expect_commands_name_ready_cases(page);
    EXPECT_NE(text.find("\n    polepitch new " + name + "\n    polepitch run " + name + ".toml\n"), std::string::npos)
        << page;
    const std::vector<std::string> pictures = found(text, "!\\[[^\\]]*\\]\\(([^)]+)\\)");
    EXPECT_FALSE(pictures.empty()) << page;
    for (const std::string& picture : pictures) {
      const std::string path = kDocs + "/cases/" + picture;
      ASSERT_TRUE(std::filesystem::exists(path)) << page << " shows " << picture;
      EXPECT_LT(std::filesystem::file_size(path), 300'000u) << picture;
    }
    EXPECT_NE(read_text_file(kDocs + "/quick-start.md").find("(cases/" + name + ".md)"), std::string::npos) << name;
  }
}

TEST(Lessons, NoPageWithoutItsCase) {
  const std::vector<std::string> cases = ready_cases();
  for (const auto& file : std::filesystem::directory_iterator(kDocs + "/cases"))
    EXPECT_TRUE(std::binary_search(cases.begin(), cases.end(), file.path().stem().string())) << file.path();
}

/// Each page of the gallery stands in its index, runs a ready case and shows a picture that is there and small.
TEST(Lessons, GalleryPagesRunReadyCases) {
  const std::string index = read_text_file(kDocs + "/gallery/README.md");
  for (const auto& file : std::filesystem::directory_iterator(kDocs + "/gallery")) {
    const std::string name = file.path().filename().string(), text = read_text_file(file.path().string());
    if (name == "README.md") continue;
    EXPECT_NE(index.find("(" + name + ")"), std::string::npos) << name;
    expect_commands_name_ready_cases(file.path().string());
    EXPECT_NE(text.find("\n## What to learn\n"), std::string::npos) << name;
    EXPECT_NE(text.find("\n## What to try next\n"), std::string::npos) << name;
    const std::vector<std::string> pictures = found(text, "!\\[[^\\]]*\\]\\(([^)]+)\\)");
    EXPECT_FALSE(pictures.empty()) << name;
    for (const std::string& picture : pictures)
      EXPECT_LT(std::filesystem::file_size(kDocs + "/gallery/" + picture), 350'000u) << name << " shows " << picture;
  }
}

TEST(Lessons, QuickStartNamesReadyCases) {
  expect_commands_name_ready_cases(kDocs + "/quick-start.md");
}

}  // namespace
}  // namespace polepitch
