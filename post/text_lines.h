// Small shapes of text that several writers share.
#pragma once

#include <string>
#include <string_view>

namespace polepitch {

/// `text` in lines of at most `width` characters, broken at blanks, each behind `mark` and ended.
std::string commented(const std::string& mark, const std::string& text, size_t width = 110);

/// & < > and quotes as XML and HTML want them.
std::string xml_escaped(std::string_view text);

}  // namespace polepitch
