#include "read/foreign.hpp"

#include <vector>

namespace flitchwise::scan {
namespace {

struct Magic {
  std::size_t offset;
  std::string_view bytes;
  std::string_view answer;
};

const std::vector<Magic>& magics() {
  using namespace std::string_view_literals;
  static const std::vector<Magic> kMagics = {
      {0, "ASTM-E57", "is an E57 scan, which is not read: export it as PLY"},
      {0, "PK\x03\x04",
       "is a ZIP archive or USDZ model: unpack it, or export the scan as a point cloud in PLY"},
      {0, "\x1F\x8B"sv, "is compressed with gzip: unpack it first"},
      {0, "PXR-USDC",
       "is a USD model, which is not read: open it in Blender (free) and export it as glTF or PLY"},
      {0, "#usda",
       "is a USD model, which is not read: open it in Blender (free) and export it as glTF or PLY"},
      {0, "Kaydara FBX",
       "is an FBX model, which is not read: open it in Blender (free) and export it as glTF or PLY"},
      {0, "; FBX",
       "is an FBX model, which is not read: open it in Blender (free) and export it as glTF or PLY"},
      {0, "DRACO",
       "is a Draco model, which is not read: unpack it with draco_decoder (free) into PLY, or export the "
       "scan "
       "as PLY"},
      {0, "\xFF\xD8\xFF", "is a photo (JPEG), not a scan: name the point cloud made from the photos"},
      {0, "\x89PNG", "is an image (PNG), not a scan: name the point cloud"},
      {4, "ftyp", "is a photo or film (HEIC, MP4), not a scan: name the point cloud made from it"},
      {0, "%PDF", "is a PDF document, not a scan: name the point cloud"},
      {0, "\xFF\xFE"sv, "is text in UTF-16: save it as UTF-8"},
      {0, "\xFE\xFF"sv, "is text in UTF-16: save it as UTF-8"},
      {0, "<", "is a web page or XML, not a scan: the download may have failed; fetch the scan again"},
  };
  return kMagics;
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
  return std::nullopt;
}

}  // namespace flitchwise::scan
