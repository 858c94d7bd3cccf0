#pragma once
/// The materials of a glTF model, as far as they colour.

#include <map>
#include <string>
#include <vector>

#include "scan/read/mesh/gltf_file.hpp"
#include "scan/read/mesh/mesh.hpp"

namespace flitchwise::scan {

/// Which texture coordinates a material takes, and how they are moved over the picture.
struct GltfTextureUse {
  std::size_t set = 0;  ///< of TEXCOORD_0, TEXCOORD_1, ...
  Eigen::Vector2d offset = Eigen::Vector2d::Zero();
  Eigen::Vector2d scale = Eigen::Vector2d::Ones();
  double rotation_rad = 0;

  /// Place on the picture with v upwards, from the file's coordinates with v downwards.
  Eigen::Vector2f place(double u, double v) const;
};

struct GltfMaterial {
  MeshMaterial look;
  GltfTextureUse texture;  ///< where there is a picture
};

/// Value of a light between 0 and 1 as a byte for the screen (IEC 61966-2-1, sRGB).
std::uint8_t screen_value(double light);

/// Reads materials as they are asked for; pictures are decoded once.
class GltfMaterials {
 public:
  explicit GltfMaterials(const GltfFile& file) : file_(file), pictures_(file.path()) {}
  GltfMaterial read(std::size_t index);
  const std::vector<ScanFact>& warnings() const { return pictures_.warnings(); }

 private:
  void read_texture(const nlohmann::json& info, GltfMaterial& material);
  std::shared_ptr<const Image> picture(std::size_t image);
  std::shared_ptr<const Image> decode(const std::string& name, const nlohmann::json& image);

  const GltfFile& file_;
  Pictures pictures_;
  std::map<std::size_t, std::shared_ptr<const Image>> by_image_;
};

}  // namespace flitchwise::scan
