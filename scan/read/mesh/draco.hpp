#pragma once
/// Meshes packed by Draco (Google, "Draco Bitstream Specification" 2.2), as glTF's KHR_draco_mesh_compression
/// holds them. The library stays behind this file.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace flitchwise::scan {

/// One attribute of all vertices.
struct DracoNumbers {
  std::size_t components = 0;
  bool is_normalised = false;  ///< integers were brought to 0..1 or -1..1
  std::vector<float> values;   ///< vertex by vertex
};

struct DracoMesh {
  std::vector<std::uint32_t> corners;  ///< three a triangle; each below the number of vertices
  std::map<std::string, DracoNumbers> attributes;
};

/// Unpacks triangles and the attributes asked for, by name and Draco's number for it. Nothing if the bytes
/// are damaged, lack an attribute or promise more than such bytes can hold.
std::optional<DracoMesh> unpack_draco(std::string_view packed,
                                      const std::map<std::string, std::uint32_t>& attributes);

}  // namespace flitchwise::scan
