#include "post/gif_file.h"

#include <gif_lib.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <stdexcept>
#include <unordered_map>

#include "geometry/error.h"

namespace polepitch {
namespace {

constexpr int kColours = 256, kSame = 255;  // the last index says: as in the frame before

struct Rectangle {
  int left = 0, top = 0, right = 0, bottom = 0;  // right and bottom are past the last
};

int squared(int v) {
  return v * v;
}

int distance(std::uint32_t a, std::uint32_t b) {
  const auto part = [](std::uint32_t c, int shift) { return static_cast<int>(c >> shift & 0xff); };
  return squared(part(a, 16) - part(b, 16)) + squared(part(a, 8) - part(b, 8)) + squared(part(a, 0) - part(b, 0));
}

/// Drawings have few flat colours and many mixtures along their edges. The commonest colours as they are keep the flat
/// ones exact, which cutting the colour space into boxes (giflib's own) does not; the mixtures take the nearest.
std::vector<std::uint32_t> common_colours(const std::vector<Pixels>& frames) {
  std::unordered_map<std::uint32_t, std::size_t> counts;
  for (const Pixels& frame : frames)
    for (std::uint32_t colour : frame.rgb) ++counts[colour];
  std::vector<std::pair<std::size_t, std::uint32_t>> ranked;
  for (const auto& [colour, count] : counts) ranked.emplace_back(count, colour);
  std::sort(ranked.begin(), ranked.end(), std::greater<>());
  std::vector<std::uint32_t> palette;
  for (std::size_t i = 0; i < ranked.size() && i < kSame; ++i) palette.push_back(ranked[i].second);
  return palette;
}

class Palette {
 public:
  explicit Palette(std::vector<std::uint32_t> colours) : colours_(std::move(colours)) {
    for (std::size_t i = 0; i < colours_.size(); ++i) known_[colours_[i]] = static_cast<GifByteType>(i);
  }
  GifByteType index(std::uint32_t colour) {
    const auto [it, fresh] = known_.try_emplace(colour, GifByteType{0});
    if (fresh) {
      const auto nearest = std::min_element(colours_.begin(), colours_.end(), [&](std::uint32_t a, std::uint32_t b) {
        return distance(a, colour) < distance(b, colour);
      });
      it->second = static_cast<GifByteType>(nearest - colours_.begin());
    }
    return it->second;
  }
  /// Padded to 256, a power of two as GIF wants it.
  std::vector<GifColorType> table() const {
    std::vector<GifColorType> table(kColours, GifColorType{0, 0, 0});
    for (std::size_t i = 0; i < colours_.size(); ++i)
      table[i] = {static_cast<GifByteType>(colours_[i] >> 16), static_cast<GifByteType>(colours_[i] >> 8 & 0xff),
                  static_cast<GifByteType>(colours_[i] & 0xff)};
    return table;
  }

 private:
  std::vector<std::uint32_t> colours_;
  std::unordered_map<std::uint32_t, GifByteType> known_;
};

/// Where two frames differ; one pixel where they do not, since a frame has to hold something.
Rectangle changed(const Pixels& before, const Pixels& now) {
  Rectangle r{now.width, now.height, 0, 0};
  for (int y = 0, i = 0; y < now.height; ++y)
    for (int x = 0; x < now.width; ++x, ++i)
      if (before.rgb[static_cast<std::size_t>(i)] != now.rgb[static_cast<std::size_t>(i)])
        r = {std::min(r.left, x), std::min(r.top, y), std::max(r.right, x + 1), std::max(r.bottom, y + 1)};
  return r.right > r.left ? r : Rectangle{0, 0, 1, 1};
}

class Writer {
 public:
  Writer() : file_(EGifOpen(&bytes_, append, &fault_)) {
    if (file_ == nullptr) refuse(fault_);
    EGifSetGifVersion(file_, true);
  }
  ~Writer() {
    if (file_ != nullptr) EGifCloseFile(file_, &fault_);
  }
  Writer(const Writer&) = delete;
  Writer& operator=(const Writer&) = delete;

  void begin(int width, int height, const Palette& palette) {
    const std::vector<GifColorType> table = palette.table();
    const std::unique_ptr<ColorMapObject, void (*)(ColorMapObject*)> map(GifMakeMapObject(kColours, table.data()),
                                                                         GifFreeMapObject);
    check(EGifPutScreenDesc(file_, width, height, 8, 0, map.get()));
    const unsigned char again[] = {1, 0, 0};  // application's sub-block: repeat without end
    check(EGifPutExtensionLeader(file_, APPLICATION_EXT_FUNC_CODE));
    check(EGifPutExtensionBlock(file_, 11, "NETSCAPE2.0"));
    check(EGifPutExtensionBlock(file_, 3, again));
    check(EGifPutExtensionTrailer(file_));
  }

  /// Pixels that are as `before` (null: none) are left out, which codes shorter.
  void frame(const Pixels& pixels, const Pixels* before, const Rectangle& r, Palette& palette, int milliseconds) {
    GraphicsControlBlock control{DISPOSE_DO_NOT, false, static_cast<int>(std::lround(milliseconds / 10.0)), kSame};
    GifByteType block[4];
    EGifGCBToExtension(&control, block);
    check(EGifPutExtension(file_, GRAPHICS_EXT_FUNC_CODE, sizeof block, block));
    check(EGifPutImageDesc(file_, r.left, r.top, r.right - r.left, r.bottom - r.top, false, nullptr));
    std::vector<GifPixelType> line(static_cast<std::size_t>(r.right - r.left));
    for (int y = r.top; y < r.bottom; ++y) {
      for (int x = r.left; x < r.right; ++x) {
        const auto i =
            static_cast<std::size_t>(y) * static_cast<std::size_t>(pixels.width) + static_cast<std::size_t>(x);
        const bool same = before != nullptr && before->rgb[i] == pixels.rgb[i];
        line[static_cast<std::size_t>(x - r.left)] = same ? GifPixelType{kSame} : palette.index(pixels.rgb[i]);
      }
      check(EGifPutLine(file_, line.data(), static_cast<int>(line.size())));
    }
  }

  std::string take() {
    GifFileType* file = file_;
    file_ = nullptr;
    if (EGifCloseFile(file, &fault_) == GIF_ERROR) refuse(fault_);
    return std::move(bytes_);
  }

 private:
  static int append(GifFileType* file, const GifByteType* data, int length) {
    static_cast<std::string*>(file->UserData)
        ->append(reinterpret_cast<const char*>(data), static_cast<std::size_t>(length));
    return length;
  }
  [[noreturn]] static void refuse(int fault) {
    const char* words = GifErrorString(fault);
    throw FileError(std::string("the animation could not be coded: ") + (words != nullptr ? words : "unknown fault"));
  }
  void check(int state) const {
    if (state == GIF_ERROR) refuse(file_->Error);
  }

  std::string bytes_;
  int fault_ = 0;
  GifFileType* file_;
};

}  // namespace

std::string gif_bytes(const std::vector<Pixels>& frames, int milliseconds) {
  if (frames.empty()) throw std::logic_error("an animation without frames");
  const int width = frames.front().width, height = frames.front().height;
  for (const Pixels& frame : frames)
    if (frame.width != width || frame.height != height) throw std::logic_error("frames of different sizes");
  Palette palette(common_colours(frames));
  Writer writer;
  writer.begin(width, height, palette);
  for (std::size_t i = 0; i < frames.size(); ++i)
    writer.frame(frames[i], i == 0 ? nullptr : &frames[i - 1],
                 i == 0 ? Rectangle{0, 0, width, height} : changed(frames[i - 1], frames[i]), palette, milliseconds);
  return writer.take();
}

}  // namespace polepitch
