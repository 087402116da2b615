#include "post/page_parts.h"

#include "post/page_assets.h"
#include "post/report_charts.h"

namespace polepitch {

std::string for_script(std::string text) {
  for (size_t i = text.find('<'); i != std::string::npos; i = text.find('<', i + 6)) text.replace(i, 1, "\\u003c");
  return text;
}

void set_shared_parts(kainjow::mustache::data& data) {
  data.set("pens", for_script(pens_json()));
  data.set("style", std::string(page::page_style));
  data.set("library", std::string(page::chart_library));
  data.set("library_style", std::string(page::chart_library_style));
  data.set("chart_script", std::string(page::chart_script));
}

}  // namespace polepitch
