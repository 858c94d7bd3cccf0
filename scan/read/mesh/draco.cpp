#include "scan/read/mesh/draco.hpp"

#include <draco/compression/decode.h>

#include <algorithm>
#include <memory>
#include <new>

namespace flitchwise::scan {
namespace {

/// The packed mesh's number of triangles, which the library would believe whatever it is; nothing if the
/// header is none.
std::optional<std::uint64_t> promised_triangles(std::string_view packed) {
  constexpr std::size_t kMethodAt = 8;
  constexpr std::size_t kFlagsAt = 9;  // two bytes, of which the second tells of metadata: glTF has none
  constexpr std::size_t kHeader = 11;
  constexpr char kSequential = 0;
  if (!packed.starts_with("DRACO\x02\x02\x01") || packed.size() <= kHeader || packed[kFlagsAt + 1] != 0) {
    return std::nullopt;
  }
  std::string_view rest = packed.substr(kHeader);
  const auto take = [&rest] {  // seven bits a byte, the lowest first
    constexpr unsigned kBits = 7;
    constexpr unsigned kLongest = 63;
    std::uint64_t value = 0;
    for (unsigned shift = 0; !rest.empty() && shift < kLongest; shift += kBits) {
      const auto byte = static_cast<unsigned char>(rest.front());
      rest.remove_prefix(1);
      value |= std::uint64_t{byte & 0x7FU} << shift;
      if (byte < 0x80U) {
        break;
      }
    }
    return value;
  };
  if (packed[kMethodAt] != kSequential) {  // else by edges: a byte for how, then the number of vertices
    rest.remove_prefix(1);
    take();
  }
  return take();
}

std::optional<DracoNumbers> numbers_of(const draco::Mesh& mesh, std::uint32_t id) {
  constexpr std::size_t kMostComponents = 4;
  const draco::PointAttribute* const attribute = mesh.GetAttributeByUniqueId(id);
  if (attribute == nullptr || attribute->num_components() == 0 ||
      attribute->num_components() > kMostComponents) {
    return std::nullopt;
  }
  DracoNumbers numbers;
  numbers.components = attribute->num_components();
  numbers.is_normalised = attribute->normalized();
  numbers.values.resize(mesh.num_points() * numbers.components);
  for (std::uint32_t i = 0; i < mesh.num_points(); ++i) {
    if (!attribute->ConvertValue<float>(attribute->mapped_index(draco::PointIndex(i)),
                                        numbers.values.data() + i * numbers.components)) {
      return std::nullopt;
    }
  }
  return numbers;
}

}  // namespace

std::optional<DracoMesh> unpack_draco(std::string_view packed,
                                      const std::map<std::string, std::uint32_t>& attributes) {
  // A scan takes a byte or more a triangle. The first ones are free, for models that are simple and small.
  constexpr std::uint64_t kFree = 10'000;
  constexpr std::uint64_t kMostAByte = 8;
  const std::optional<std::uint64_t> promised = promised_triangles(packed);
  if (!promised || *promised > kFree + kMostAByte * packed.size()) {
    return std::nullopt;
  }
  draco::DecoderBuffer buffer;
  buffer.Init(packed.data(), packed.size());
  auto decoded = draco::Decoder().DecodeMeshFromBuffer(&buffer);
  if (!decoded.ok()) {
    return std::nullopt;
  }
  const std::unique_ptr<draco::Mesh> mesh = std::move(decoded).value();
  DracoMesh unpacked;
  unpacked.corners.reserve(3 * std::size_t{mesh->num_faces()});
  for (std::uint32_t i = 0; i < mesh->num_faces(); ++i) {
    for (const auto& corner : mesh->face(draco::FaceIndex(i))) {
      if (corner.value() >= mesh->num_points()) {
        return std::nullopt;
      }
      unpacked.corners.push_back(corner.value());
    }
  }
  for (const auto& [name, id] : attributes) {
    std::optional<DracoNumbers> numbers = numbers_of(*mesh, id);
    if (!numbers) {
      return std::nullopt;
    }
    unpacked.attributes.emplace(name, *std::move(numbers));
  }
  return unpacked;
}

}  // namespace flitchwise::scan
