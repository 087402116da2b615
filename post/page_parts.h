// What every page of ours shares: style, chart library and script, the pens of charts; and JSON made safe for a script
// element. Private to post: it shows mustache's types.
#pragma once

#include <kainjow/mustache.hpp>
#include <string>

namespace polepitch {

/// Nothing in it can end the script element it stands in.
std::string for_script(std::string text);

/// Sets pens, style, library, library_style, chart_script.
void set_shared_parts(kainjow::mustache::data& data);

}  // namespace polepitch
