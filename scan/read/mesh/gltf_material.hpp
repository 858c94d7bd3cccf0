#pragma once
/// The materials of a glTF model, as far as they colour.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "scan/model/scan_facts.hpp"
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
  explicit GltfMaterials(const GltfFile& file) : file_(file) {}
  GltfMaterial read(std::size_t index);
  const std::vector<ScanFact>& warnings() const { return warnings_; }

 private:
  void read_texture(const nlohmann::json& info, GltfMaterial& material);
  std::shared_ptr<const Image> picture(std::size_t texture);
  std::shared_ptr<Image> decode(const nlohmann::json& image) const;

  const GltfFile& file_;
  std::map<std::size_t, std::shared_ptr<const Image>> pictures_;  // by texture
  std::vector<ScanFact> warnings_;
};

}  // namespace flitchwise::scan
