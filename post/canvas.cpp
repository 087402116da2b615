#include "post/canvas.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>

#include "geometry/error.h"
#include "post/atomic_file.h"

namespace polepitch {
namespace {

constexpr const char* font = "DejaVu Sans";
constexpr double two_pi = 2 * 3.14159265358979323846;
constexpr double seam_cover = 0.35;  // pt, stroke that hides the seams of tiled fills in vector formats

struct Free {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};
using Context = std::unique_ptr<cairo_t, Free>;
using Surface = std::unique_ptr<cairo_surface_t, Free>;

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void check(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS)
    throw FileError(std::string("the picture could not be drawn: ") + cairo_status_to_string(status));
}

void set_colour(cairo_t* c, const Colour& colour) {
  cairo_set_source_rgba(c, colour.red, colour.green, colour.blue, colour.alpha);
}

void trace(cairo_t* c, const Path& path) {
  cairo_new_path(c);
  for (const Path::Step& s : path.steps) switch (s.verb) {
      case Path::Verb::move:
        cairo_move_to(c, s.x, s.y);
        break;
      case Path::Verb::line:
        cairo_line_to(c, s.x, s.y);
        break;
      case Path::Verb::arc:
        (s.to >= s.from ? cairo_arc : cairo_arc_negative)(c, s.x, s.y, s.radius, s.from, s.to);
        break;
      case Path::Verb::close:
        cairo_close_path(c);
        break;
    }
}

void set_pen(cairo_t* c, const Pen& pen) {
  set_colour(c, pen.colour);
  cairo_set_line_width(c, pen.width);
  cairo_set_dash(c, pen.dash.data(), static_cast<int>(pen.dash.size()), 0);
  cairo_set_line_join(c, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(c, pen.dash.empty() ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
}

void set_font(cairo_t* c, const TextStyle& style) {
  cairo_select_font_face(c, font, CAIRO_FONT_SLANT_NORMAL,
                         style.bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(c, style.size);
  // Widths that do not depend on the pixel grid: every format then has the same layout.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_set_font_options(c, options);
  cairo_font_options_destroy(options);
}

// Parallel lines x sin − y cos = k·spacing through a box; the grid is tied to the page so that neighbours line up.
void hatch_lines(cairo_t* c, double x0, double y0, double x1, double y1, double angle, double spacing) {
  const double ux = std::cos(angle), uy = std::sin(angle);
  double low = 1e300, high = -1e300, along_low = 1e300, along_high = -1e300;
  for (double x : {x0, x1})
    for (double y : {y0, y1}) {
      const double across = x * uy - y * ux, along = x * ux + y * uy;
      low = std::min(low, across), high = std::max(high, across);
      along_low = std::min(along_low, along), along_high = std::max(along_high, along);
    }
  for (double k = std::ceil(low / spacing); k * spacing <= high; ++k) {
    const double a = k * spacing;
    cairo_move_to(c, along_low * ux + a * uy, along_low * uy - a * ux);
    cairo_line_to(c, along_high * ux + a * uy, along_high * uy - a * ux);
  }
  cairo_stroke(c);
}

void hatch_dots(cairo_t* c, double x0, double y0, double x1, double y1, double spacing, double width) {
  for (double j = std::floor(y0 / spacing); j * spacing <= y1; ++j)
    for (double i = std::floor(x0 / spacing); i * spacing <= x1; ++i) {
      const double shift = std::fmod(std::abs(j), 2) * 0.5;
      cairo_new_sub_path(c);
      cairo_arc(c, (i + shift) * spacing, j * spacing, width, 0, two_pi);
    }
  cairo_fill(c);
}

// Cairo numbers surfaces over the life of the process; the same drawing must give the same bytes.
void drop_surface_number(std::string& svg) {
  const std::string mark = "<g id=\"surface";
  const auto at = svg.find(mark);
  if (at == std::string::npos) return;
  const auto digits = at + mark.size();
  svg.erase(digits, svg.find('"', digits) - digits);
}

}  // namespace

struct CanvasRenderer {
  cairo_t* c;
  bool vector_format;

  void fill(const Canvas::Item& item) const {
    trace(c, item.path);
    set_colour(c, item.pen.colour);
    const bool tiled = item.edges == Edges::tiled;
    cairo_set_antialias(c, tiled && !vector_format ? CAIRO_ANTIALIAS_NONE : CAIRO_ANTIALIAS_DEFAULT);
    if (!tiled || !vector_format) return cairo_fill(c);
    cairo_fill_preserve(c);
    set_pen(c, {item.pen.colour, seam_cover, {}});
    cairo_stroke(c);
  }

  void stroke(const Canvas::Item& item) const {
    trace(c, item.path);
    cairo_set_antialias(c, CAIRO_ANTIALIAS_DEFAULT);
    set_pen(c, item.pen);
    cairo_stroke(c);
  }

  void hatch(const Canvas::Item& item) const {
    cairo_save(c);
    cairo_set_antialias(c, CAIRO_ANTIALIAS_DEFAULT);
    trace(c, item.path);
    double x0, y0, x1, y1;
    cairo_path_extents(c, &x0, &y0, &x1, &y1);
    cairo_clip(c);
    set_pen(c, item.pen);
    const auto lines = [&](double angle) { hatch_lines(c, x0, y0, x1, y1, angle, item.spacing); };
    if (item.pattern == Hatch::rising || item.pattern == Hatch::crossed) lines(-two_pi / 8);
    if (item.pattern == Hatch::falling || item.pattern == Hatch::crossed) lines(two_pi / 8);
    if (item.pattern == Hatch::level) lines(0);
    if (item.pattern == Hatch::upright) lines(two_pi / 4);
    if (item.pattern == Hatch::dotted) hatch_dots(c, x0, y0, x1, y1, item.spacing, item.pen.width);
    cairo_restore(c);
  }

  void text(const Canvas::Item& item) const {
    const TextStyle& style = item.style;
    cairo_save(c);
    cairo_set_antialias(c, CAIRO_ANTIALIAS_DEFAULT);
    set_font(c, style);
    cairo_text_extents_t extents;
    cairo_text_extents(c, item.words.c_str(), &extents);
    const double across[] = {0, -0.5, -1}, along[] = {0.74, 0.36, 0};  // capitals of this font are 0.73 em high
    cairo_translate(c, item.at.x, item.at.y);
    cairo_rotate(c, style.angle);
    cairo_move_to(c, across[static_cast<int>(style.across)] * extents.x_advance,
                  along[static_cast<int>(style.along)] * style.size);
    if (style.halo) {
      cairo_text_path(c, item.words.c_str());
      set_pen(c, {{1, 1, 1, 0.9}, 0.28 * style.size, {}});
      cairo_stroke_preserve(c);
      set_colour(c, style.colour);
      cairo_fill(c);
    } else {
      set_colour(c, style.colour);
      cairo_show_text(c, item.words.c_str());
    }
    cairo_restore(c);
  }

  void draw(const Canvas& canvas) const {
    using Act = Canvas::Act;
    for (const Canvas::Item& item : canvas.items_) switch (item.act) {
        case Act::fill:
          fill(item);
          break;
        case Act::hatch:
          hatch(item);
          break;
        case Act::stroke:
          stroke(item);
          break;
        case Act::text:
          text(item);
          break;
        case Act::begin_clip:
          cairo_save(c);
          trace(c, item.path);
          cairo_clip(c);
          break;
        case Act::begin_place:
          cairo_save(c);
          cairo_translate(c, item.at.x, item.at.y);
          cairo_scale(c, item.spacing, item.spacing);
          break;
        case Act::end:
          cairo_restore(c);
          break;
      }
  }
};

namespace {

Surface pixel_surface(double width, double height, double scale) {
  return Surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(std::lround(width * scale)),
                                            static_cast<int>(std::lround(height * scale))));
}

/// On white.
void draw_on(cairo_surface_t* surface, double scale, bool vector_format, const Canvas& canvas) {
  check(cairo_surface_status(surface));
  Context context(cairo_create(surface));
  cairo_scale(context.get(), scale, scale);
  cairo_set_source_rgb(context.get(), 1, 1, 1);
  cairo_paint(context.get());
  CanvasRenderer{context.get(), vector_format}.draw(canvas);
  check(cairo_status(context.get()));
}

}  // namespace

std::string Canvas::render(PictureFormat format, double pixels_per_point) const {
  std::string bytes;
  const bool png = format == PictureFormat::png;
  const double scale = png ? pixels_per_point : 1;
  Surface surface(png ? pixel_surface(width_, height_, scale)
                  : format == PictureFormat::svg
                      ? Surface(cairo_svg_surface_create_for_stream(append, &bytes, width_, height_))
                      : Surface(cairo_pdf_surface_create_for_stream(append, &bytes, width_, height_)));
  draw_on(surface.get(), scale, !png, *this);
  if (png) check(cairo_surface_write_to_png_stream(surface.get(), append, &bytes));
  cairo_surface_finish(surface.get());
  check(cairo_surface_status(surface.get()));
  if (format == PictureFormat::svg) drop_surface_number(bytes);
  return bytes;
}

Pixels Canvas::pixels(double pixels_per_point) const {
  const Surface surface = pixel_surface(width_, height_, pixels_per_point);
  draw_on(surface.get(), pixels_per_point, false, *this);
  cairo_surface_flush(surface.get());
  Pixels result{cairo_image_surface_get_width(surface.get()), cairo_image_surface_get_height(surface.get()), {}};
  const unsigned char* row = cairo_image_surface_get_data(surface.get());
  std::vector<std::uint32_t> line(static_cast<size_t>(result.width));
  for (int y = 0; y < result.height; ++y, row += cairo_image_surface_get_stride(surface.get())) {
    std::memcpy(line.data(), row, 4 * line.size());  // the upper byte of RGB24 is not used
    for (std::uint32_t pixel : line) result.rgb.push_back(pixel & 0xffffff);
  }
  return result;
}

double text_width(std::string_view words, const TextStyle& style) {
  Surface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
  Context context(cairo_create(surface.get()));
  set_font(context.get(), style);
  cairo_text_extents_t extents;
  cairo_text_extents(context.get(), std::string(words).c_str(), &extents);
  return extents.x_advance;
}

void write_picture(const Canvas& canvas, const std::filesystem::path& path) {
  const std::string extension = path.extension().string();
  if (extension == ".png") return write_file(path, canvas.render(PictureFormat::png));
  if (extension == ".svg") return write_file(path, canvas.render(PictureFormat::svg));
  if (extension == ".pdf") return write_file(path, canvas.render(PictureFormat::pdf));
  throw FileError("'" + path.string() + "': pictures are written as .png, .svg or .pdf");
}

}  // namespace polepitch
