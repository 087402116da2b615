#include "geometry/dxf_groups.h"

#include <charconv>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

namespace polepitch {

namespace {

std::string_view trimmed(std::string_view text) {
  const std::size_t from = text.find_first_not_of(" \t\r");
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(" \t\r") - from + 1);
}

bool is_utf8(std::string_view text) {
  int rest = 0;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (rest > 0) {
      if ((byte & 0xC0) != 0x80) return false;
      --rest;
    } else if (byte >= 0x80) {
      if (byte < 0xC2 || byte > 0xF4) return false;
      rest = byte >= 0xF0 ? 3 : byte >= 0xE0 ? 2 : 1;
    }
  }
  return rest == 0;
}

// Control characters would spoil messages; other bytes of old code pages are shown as Latin-1.
std::string readable(std::string_view text) {
  const bool utf8 = is_utf8(text);
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7F)
      out += ' ';
    else if (byte < 0x80 || utf8)
      out += c;
    else {
      out += static_cast<char>(0xC0 | (byte >> 6));
      out += static_cast<char>(0x80 | (byte & 0x3F));
    }
  }
  return out;
}

struct Lines {
  std::string_view text;
  std::size_t at = 0;
  int line = 0;

  bool next(std::string_view& out) {
    if (at >= text.size()) return false;
    const std::size_t end = std::min(text.find('\n', at), text.size());
    out = text.substr(at, end - at);
    at = end + 1;
    ++line;
    return true;
  }
};

bool parse_code(std::string_view text, int& code) {
  text = trimmed(text);
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), code);
  return fault == std::errc() && end == text.data() + text.size() && !text.empty();
}

[[noreturn]] void refuse(const std::string& path, int line, const std::string& what, const std::string& hint) {
  throw InputError(what, hint, {path, line, 0});
}

}  // namespace

const DxfGroup* DxfRecord::find(int code) const {
  for (const DxfGroup& group : groups)
    if (group.code == code) return &group;
  return nullptr;
}

std::string DxfRecord::text(int code, const std::string& fallback) const {
  const DxfGroup* group = find(code);
  return group == nullptr ? fallback : group->text;
}

void DxfFaults::add(int line, std::string message, std::string hint) {
  faults.push_back({{path, line, 0}, std::move(message), std::move(hint)});
}

double DxfFaults::number(const DxfGroup& group) {
  double value = 0;
  std::string_view text = group.text;
  if (!text.empty() && text.front() == '+') text.remove_prefix(1);
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault == std::errc() && end == text.data() + text.size() && std::abs(value) <= 1e12) return value;
  add(group.line, fmt::format("'{}' is not a number that a drawing can hold (group code {})", group.text, group.code));
  return 0;
}

double DxfFaults::number(const DxfRecord& record, int code, double fallback) {
  const DxfGroup* group = record.find(code);
  return group == nullptr ? fallback : number(*group);
}

int DxfFaults::integer(const DxfRecord& record, int code, int fallback) {
  const DxfGroup* group = record.find(code);
  return group == nullptr ? fallback : integer(*group);
}

int DxfFaults::integer(const DxfGroup& group) {
  const double value = number(group);
  if (value == std::floor(value) && std::abs(value) <= 1e9) return static_cast<int>(value);
  add(group.line, fmt::format("'{}' is not a whole number (group code {})", group.text, group.code));
  return 0;
}

std::vector<DxfRecord> dxf_records(const std::string& text, const std::string& path) {
  if (text.find('\0') != std::string::npos)
    refuse(path, 0, "this is a binary file", "save the drawing as DXF in ASCII, of any version from R12 to R2018");
  Lines lines{text, text.rfind("\xEF\xBB\xBF", 0) == 0 ? std::size_t{3} : 0, 0};
  std::vector<DxfRecord> records;
  std::string_view code_line, value;
  bool complete = false;
  while (!complete && lines.next(code_line)) {
    int code = 0;
    if (!parse_code(code_line, code)) {
      if (records.empty() && trimmed(code_line).empty()) continue;  // blank lines before the start
      refuse(path, lines.line, fmt::format("'{}' is not a group code", readable(trimmed(code_line)).substr(0, 40)),
             records.empty() ? "this does not seem to be a DXF file"
                             : "a line is missing or too many before this one: each value has its code above it");
    }
    if (!lines.next(value))
      refuse(path, lines.line, "the file ends between a group code and its value", "the file is cut off");
    if (code == 999) continue;
    std::string shown = readable(trimmed(value));
    if (code == 0) {
      complete = shown == "EOF";
      records.push_back({std::move(shown), lines.line, {}});
    } else {
      if (records.empty())
        refuse(path, lines.line, fmt::format("group code {} stands before the first section", code),
               "this does not seem to be a DXF file");
      records.back().groups.push_back({code, std::move(shown), lines.line});
    }
  }
  if (records.empty()) refuse(path, 1, "the drawing is empty", "a DXF file begins with a section");
  if (!complete)
    refuse(path, lines.line, "the file ends without its mark EOF", "the file is cut off; write the drawing again");
  return records;
}

}  // namespace polepitch
