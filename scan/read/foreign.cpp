#include "scan/read/foreign.hpp"

#include <vector>

#include "scan/read/records.hpp"

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

// A USDZ model is a ZIP archive whose first file is a USD scene (USDZ File Format Specification).
std::optional<std::string> recognise_archive(std::string_view bytes) {
  constexpr std::string_view kMagic = "PK\x03\x04";
  constexpr std::size_t kNameLengthAt = 26;
  constexpr std::size_t kNameAt = 30;
  if (!bytes.starts_with(kMagic)) {
    return std::nullopt;
  }
  std::string name;
  if (bytes.size() > kNameAt) {
    const double length = load(bytes.data() + kNameLengthAt, Scalar::u16, false);
    name = lower_case(bytes.substr(kNameAt, static_cast<std::size_t>(length)));
  }
  const bool usdz = name.ends_with(".usdc") || name.ends_with(".usda") || name.ends_with(".usd");
  return usdz ? "is a USDZ model, which is not read: open it in Blender (free) and export it as "
                "glTF or PLY"
              : "is a ZIP archive: unpack it and name the scan inside";
}

}  // namespace

std::optional<std::string> recognise_foreign(std::string_view bytes) {
  if (auto archive = recognise_archive(bytes)) {
    return archive;
  }
  for (const Magic& magic : magics()) {
    if (bytes.size() >= magic.offset && bytes.substr(magic.offset).starts_with(magic.bytes)) {
      return std::string(magic.answer);
    }
  }
  return std::nullopt;
}

}  // namespace flitchwise::scan
