#include "post/text_lines.h"

#include <algorithm>

namespace polepitch {

std::string commented(const std::string& mark, const std::string& text, size_t width) {
  std::string out, line = mark;
  size_t begin = 0;
  while (begin < text.size()) {
    const size_t end = std::min(text.find(' ', begin), text.size());
    const std::string word = text.substr(begin, end - begin);
    if (line.size() > mark.size() && line.size() + 1 + word.size() > width) {
      out += line + '\n';
      line = mark;
    }
    if (line.size() > mark.size()) line += ' ';
    line += word;
    begin = end + 1;
  }
  return out + line + '\n';
}

std::string xml_escaped(std::string_view text) {
  std::string out;
  for (char c : text) {
    if (c == '&')
      out += "&amp;";
    else if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '"')
      out += "&quot;";
    else
      out += c;
  }
  return out;
}

}  // namespace polepitch
