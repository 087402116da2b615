# The texts of the report page (template, style, scripts), the script for ParaView and Debian's dygraphs become part of
# the program, so that a page needs no network and the program no data directory for it.
find_path(DYGRAPHS_DIR dygraph.min.js PATHS /usr/share/javascript/dygraphs REQUIRED
          DOC "Directory of dygraph.min.js and dygraph.min.css (Debian: libjs-dygraphs)")
mark_as_advanced(DYGRAPHS_DIR)
set(page_assets report_template ${PROJECT_SOURCE_DIR}/post/page/report.mustache
                compare_template ${PROJECT_SOURCE_DIR}/post/page/compare.mustache
                page_style ${PROJECT_SOURCE_DIR}/post/page/page.css
                chart_script ${PROJECT_SOURCE_DIR}/post/page/charts.js
                scene_mesh_script ${PROJECT_SOURCE_DIR}/post/page/scene_mesh.js
                scene_field_script ${PROJECT_SOURCE_DIR}/post/page/scene_field.js
                scene_side_script ${PROJECT_SOURCE_DIR}/post/page/scene_side.js
                scene_script ${PROJECT_SOURCE_DIR}/post/page/scene.js
                paraview_script ${PROJECT_SOURCE_DIR}/post/paraview/open_in_paraview.py
                chart_library ${DYGRAPHS_DIR}/dygraph.min.js
                chart_library_style ${DYGRAPHS_DIR}/dygraph.min.css)

set(page_assets_source "#include \"post/page_assets.h\"\n\nnamespace polepitch::page {\n")
while(page_assets)
  list(POP_FRONT page_assets asset_name asset_file)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${asset_file})
  file(READ ${asset_file} asset_text)
  string(APPEND page_assets_source "const std::string_view ${asset_name} = R\"~page~(${asset_text})~page~\";\n")
endwhile()
string(APPEND page_assets_source "}  // namespace polepitch::page\n")
file(CONFIGURE OUTPUT ${PROJECT_BINARY_DIR}/page_assets.cpp CONTENT "@page_assets_source@" @ONLY)
target_sources(post PRIVATE ${PROJECT_BINARY_DIR}/page_assets.cpp)
