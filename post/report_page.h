// report.html: one file that holds everything a run found, opened from disk without network (docs/report.md). What it
// shows is given; nothing is computed here.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "post/results.h"

namespace polepitch {

struct ReportTable {
  std::string title;
  std::vector<std::string> head;
  std::vector<std::vector<std::string>> rows;
};

/// A picture as markup: an <svg> or <img> element with its text alternative.
struct ReportPicture {
  std::string title;
  std::string markup;
};

struct ReportStudy {
  std::string name;      // "load-angle-2"
  std::string sentence;  // what it does
  ReportTable asked;     // its parameters
  std::vector<ReportPicture> pictures;
};

struct ReportPage {
  std::string title, case_name, program_version, command, case_text;
  std::vector<ReportPicture> machine_pictures;
  std::vector<ReportTable> machine_tables;  // rating, dimensions, winding, materials
  std::vector<std::string> failed;          // studies without a result, and why
  std::vector<std::string> cautions;        // of this kind of machine, beside those of every page
  std::vector<ReportStudy> studies;         // in the order of the case
  ReportTable run;                          // mesh, times
  std::string scenes;                       // JSON of scene_json(), "" without
};

/// The whole page. Curves become charts where their abscissa rises, constructions and phasors stand among the pictures.
std::string report_page(const ReportPage& page, const Results& results);

/// An SVG file's <svg> element for a page, its ids made the page's own by `prefix`, and `words` as its title for those
/// who do not see it.
std::string inline_svg(const std::string& file_text, const std::string& prefix, const std::string& words);

/// An <img> element that carries the bytes of a PNG file.
std::string inline_png(const std::string& bytes, const std::string& words);

}  // namespace polepitch
