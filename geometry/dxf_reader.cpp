#include "geometry/dxf_reader.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <fmt/format.h>

#include "geometry/dxf_entities.h"

namespace polepitch {

namespace {

struct UnitCode {
  int code;
  double metres;
};

// $INSUNITS of the format's reference: lengths that a drawing of a machine can have.
double unit_of(int code) {
  static constexpr UnitCode units[] = {{1, 0.0254}, {2, 0.3048},  {3, 1609.344}, {4, 1e-3},    {5, 1e-2},   {6, 1},
                                       {7, 1e3},    {8, 2.54e-8}, {9, 2.54e-5},  {10, 0.9144}, {11, 1e-10}, {12, 1e-9},
                                       {13, 1e-6},  {14, 0.1},    {15, 10},      {16, 100}};
  for (const UnitCode& unit : units)
    if (unit.code == code) return unit.metres;
  return 0;
}

struct Reader {
  const std::vector<DxfRecord>& records;
  DxfFaults& faults;
  DxfContent content{};
  std::size_t at = 0;

  bool ends(const char* mark) const { return at >= records.size() || records[at].type == mark; }
  bool section_ends() const { return ends("ENDSEC") || records[at].type == "EOF" || records[at].type == "SECTION"; }

  // Variables are groups of the section's own record: code 9 names one, its values follow.
  void read_header(const DxfRecord& section) {
    for (std::size_t i = 0; i + 1 < section.groups.size(); ++i)
      if (section.groups[i].code == 9 && section.groups[i].text == "$INSUNITS")
        content.unit = unit_of(faults.integer(section.groups[i + 1]));
  }

  void read_tables() {
    for (; !section_ends(); ++at) {
      const DxfRecord& r = records[at];
      if (r.type != "LAYER") continue;
      const bool frozen = (faults.integer(r, 70) & 1) != 0, off = faults.integer(r, 62, 7) < 0;
      if (frozen || off) content.hidden.insert(small_letters(r.text(2)));
    }
  }

  void read_blocks() {
    while (!section_ends()) {
      const DxfRecord& head = records[at++];
      if (head.type != "BLOCK") continue;
      DxfBlock block{head.text(2), {faults.number(head, 10), faults.number(head, 20)}, {}};
      while (!section_ends() && records[at].type != "ENDBLK" && records[at].type != "BLOCK")
        block.entities.push_back(records[at++]);
      content.blocks[small_letters(block.name)] = std::move(block);
    }
  }

  void read_all() {
    bool entities_seen = false;
    while (at < records.size()) {
      const DxfRecord& section = records[at++];
      if (section.type != "SECTION") continue;
      const std::string name = section.text(2);
      if (name == "HEADER") read_header(section);
      if (name == "TABLES") read_tables();
      if (name == "BLOCKS") read_blocks();
      if (name != "ENTITIES") continue;
      entities_seen = true;
      while (!section_ends()) content.entities.push_back(records[at++]);
    }
    if (!entities_seen) faults.add(0, "the drawing has no section ENTITIES", "nothing is drawn in it");
  }
};

double chosen_unit(const DxfContent& content, const DxfOptions& options, DxfDrawing& drawing, DxfFaults& faults) {
  if (options.unit > 0) {
    if (content.unit > 0 && content.unit != options.unit) {
      Diagnostic& warning = drawing.warnings.emplace_back();
      warning.place.file = drawing.path;
      warning.message = fmt::format("the drawing declares a unit of {:g} mm, the case one of {:g} mm, which is taken",
                                    content.unit * 1e3, options.unit * 1e3);
    }
    return options.unit;
  }
  if (content.unit == 0)
    faults.add(0, "the drawing does not say in which unit it is drawn",
               "give the unit in the case, or $INSUNITS in the drawing");
  return content.unit;
}

}  // namespace

DxfDrawing parse_dxf(const std::string& text, const std::string& path, const DxfOptions& options) {
  DxfFaults faults{path, {}};
  const std::vector<DxfRecord> records = dxf_records(text, path);
  Reader reader{records, faults};
  reader.read_all();
  DxfDrawing drawing;
  drawing.path = path;
  drawing.unit = chosen_unit(reader.content, options, drawing, faults);
  if (drawing.unit > 0) draw_entities(reader.content, drawing.unit, options.tolerance, drawing, faults);
  if (!faults.faults.empty()) throw InputError(std::move(faults.faults));
  return drawing;
}

DxfDrawing read_dxf(const std::string& path, const DxfOptions& options) {
  std::ifstream file(path, std::ios::binary);
  if (!file || std::filesystem::is_directory(path))
    throw FileError(fmt::format("cannot read the drawing {}: {}", path,
                                std::filesystem::is_directory(path) ? "it is a directory" : std::strerror(errno)));
  std::ostringstream text;
  text << file.rdbuf();
  return parse_dxf(text.str(), path, options);
}

}  // namespace polepitch
