// Texts that the build makes part of the program (cmake/page_assets.cmake): the files of post/page and dygraphs (MIT
// licence), whose own notice stays at its head.
#pragma once

#include <string_view>

namespace polepitch::page {

extern const std::string_view report_template, compare_template, page_style, chart_script, paraview_script;
extern const std::string_view scene_mesh_script, scene_field_script, scene_side_script, scene_script;  // in this order
extern const std::string_view chart_library, chart_library_style;

}  // namespace polepitch::page
