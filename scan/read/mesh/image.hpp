#pragma once
/// Pictures on meshes.

#include <Eigen/Core>
#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "scan/model/scan_facts.hpp"
#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

/// What lies beyond the picture's edges.
enum class Wrap { repeat, clamp, mirror };

struct Image {
  std::size_t width = 0;
  std::size_t height = 0;
  std::vector<Colour> pixels;  ///< row by row from the top

  /// Colour of the pixel at (u, v), v upwards; grey if they are not finite.
  Colour at(const Eigen::Vector2f& uv, Wrap wrap_u, Wrap wrap_v) const;
};

/// What a surface shows whose picture is missing.
constexpr Colour kGrey = {128, 128, 128};

/// The pictures of one mesh: JPEG, PNG, BMP or TGA, made smaller where they are finer than colours need and
/// smaller still where there are very many.
class Pictures {
 public:
  explicit Pictures(std::filesystem::path mesh_file) : mesh_file_(std::move(mesh_file)) {}

  /// The picture of this name beside the mesh's file, decoded once; null, and a warning, if there is none
  /// that can be read.
  std::shared_ptr<const Image> beside(std::string_view name);
  /// The picture in these bytes, which the warning calls `name`; null, and a warning, if they hold none.
  std::shared_ptr<const Image> decode(std::string_view name, std::string_view bytes);

  const std::vector<ScanFact>& warnings() const { return warnings_; }

 private:
  std::filesystem::path mesh_file_;
  std::map<std::string, std::shared_ptr<const Image>, std::less<>> by_name_;
  std::size_t pixels_held_ = 0;
  std::vector<ScanFact> warnings_;
};

}  // namespace flitchwise::scan
