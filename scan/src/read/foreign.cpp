#include "read/foreign.hpp"

#include <algorithm>
#include <array>
#include <cstdint>

#include "read/cursor.hpp"
#include "read/records.hpp"

namespace flitchwise::scan {
namespace {

struct Magic {
  std::size_t offset;
  std::string_view bytes;
  std::string_view answer;
};

constexpr std::string_view kMeshAnswer =
    "is a 3D model or mesh (glTF, USD, FBX, OBJ or STL), which is not read: export the scan as a point cloud "
    "in "
    "PLY";

const std::vector<Magic>& magics() {
  using namespace std::string_view_literals;
  static const std::vector<Magic> kMagics = {
      {0, "ASTM-E57", "is an E57 scan, which is not read: export it as PLY"},
      {0, "PK\x03\x04",
       "is a ZIP archive or USDZ model: unpack it, or export the scan as a point cloud in PLY"},
      {0, "\x1F\x8B"sv, "is compressed with gzip: unpack it first"},
      {0, "glTF", "is a glTF model, which is not read: export the scan as a point cloud in PLY"},
      {0, "PXR-USDC", "is a USD model, which is not read: export the scan as a point cloud in PLY"},
      {0, "#usda", "is a USD model, which is not read: export the scan as a point cloud in PLY"},
      {0, "Kaydara FBX", "is an FBX model, which is not read: export the scan as a point cloud in PLY"},
      {0, "DRACO", "is a Draco model, which is not read: export the scan as a point cloud in PLY"},
      {0, "\xFF\xD8\xFF", "is a photo (JPEG), not a scan: name the point cloud made from the photos"},
      {0, "\x89PNG", "is an image (PNG), not a scan: name the point cloud"},
      {4, "ftyp", "is a photo or film (HEIC, MP4), not a scan: name the point cloud made from it"},
      {0, "%PDF", "is a PDF document, not a scan: name the point cloud"},
      {0, "\xFF\xFE"sv, "is text in UTF-16: save it as UTF-8"},
      {0, "\xFE\xFF"sv, "is text in UTF-16: save it as UTF-8"},
      {0, "<", "is a web page or XML, not a scan: the download may have failed; fetch the scan again"},
      {0, "{", "is JSON (perhaps a glTF model), which is not read: export the scan as a point cloud in PLY"},
  };
  return kMagics;
}

bool is_binary_stl(std::string_view bytes) {
  constexpr std::size_t kHeader = 80;
  constexpr std::size_t kCount = 4;
  constexpr std::size_t kTriangle = 50;
  if (bytes.size() < kHeader + kCount + kTriangle) {
    return false;
  }
  const double triangles = load(bytes.data() + kHeader, Scalar::u32, false);
  return triangles * kTriangle + kHeader + kCount == static_cast<double>(bytes.size());
}

std::optional<std::string> recognise_las(std::string_view bytes) {
  constexpr std::size_t kFormatByte = 104;  // point data record format
  constexpr unsigned kCompressedBit = 0x80;
  if (!bytes.starts_with("LASF")) {
    return std::nullopt;
  }
  const bool packed =
      bytes.size() > kFormatByte && (static_cast<unsigned char>(bytes[kFormatByte]) & kCompressedBit) != 0;
  return std::string(packed ? "is a LAZ" : "is a LAS") + " scan, which is not read: export it as PLY";
}

// OBJ and ASCII STL by the first words of their first lines.
bool is_text_mesh(std::string_view bytes) {
  constexpr std::size_t kFarEnough = 4096;
  constexpr std::array<std::string_view, 8> kWords = {"v", "vn", "vt", "mtllib", "usemtl", "o", "g", "solid"};
  LineCursor lines(bytes.substr(0, kFarEnough));
  std::string_view line;
  while (lines.next(line)) {
    const std::string_view word = take_word(line);
    if (!word.empty() && word.front() != '#') {
      return std::find(kWords.begin(), kWords.end(), word) != kWords.end();
    }
  }
  return false;
}

}  // namespace

std::optional<std::string> recognise_foreign(std::string_view bytes) {
  if (auto las = recognise_las(bytes)) {
    return las;
  }
  for (const Magic& magic : magics()) {
    if (bytes.size() >= magic.offset && bytes.substr(magic.offset).starts_with(magic.bytes)) {
      return std::string(magic.answer);
    }
  }
  if (is_text_mesh(bytes) || is_binary_stl(bytes)) {
    return std::string(kMeshAnswer);
  }
  return std::nullopt;
}

}  // namespace flitchwise::scan
