#include "scan/read/mesh/gltf_material.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace flitchwise::scan {
namespace {

using nlohmann::json;

Wrap wrap_of(std::size_t code) {
  constexpr std::size_t kClamp = 33071;   // glTF 2.0, sampler.wrapS
  constexpr std::size_t kMirror = 33648;  // the same
  return code == kClamp ? Wrap::clamp : code == kMirror ? Wrap::mirror : Wrap::repeat;
}

Eigen::Vector2d pair_of(const json& object, const char* name, const Eigen::Vector2d& otherwise) {
  const auto at = object.find(name);
  if (at == object.end()) {
    return otherwise;
  }
  return {at->at(0).get<double>(), at->at(1).get<double>()};
}

}  // namespace

Eigen::Vector2f GltfTextureUse::place(double u, double v) const {
  // KHR_texture_transform: first scale, then turn, then move, all with v downwards.
  const Eigen::Vector2d scaled(u * scale.x(), v * scale.y());
  const double c = std::cos(rotation_rad);
  const double s = std::sin(rotation_rad);
  const Eigen::Vector2d at =
      offset + Eigen::Vector2d(c * scaled.x() + s * scaled.y(), c * scaled.y() - s * scaled.x());
  return {static_cast<float>(at.x()), static_cast<float>(1 - at.y())};
}

std::uint8_t screen_value(double light) {
  constexpr double kLinearEnd = 0.0031308;
  constexpr double kByteMax = 255;
  if (!(light > 0)) {  // NaN too
    return 0;
  }
  const double shown = light <= kLinearEnd ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055;
  return static_cast<std::uint8_t>(std::lround(std::min(shown, 1.0) * kByteMax));
}

GltfMaterial GltfMaterials::read(std::size_t index) {
  constexpr const char* kOldModel = "KHR_materials_pbrSpecularGlossiness";
  const json& source = file_.element("materials", index);
  GltfMaterial material;
  json part = source.value("pbrMetallicRoughness", json::object());
  const char* factor = "baseColorFactor";
  const char* texture = "baseColorTexture";
  const json extensions = source.value("extensions", json::object());
  if (extensions.contains(kOldModel) && !part.contains(texture)) {
    part = extensions.at(kOldModel);
    factor = "diffuseFactor";
    texture = "diffuseTexture";
  }
  if (part.contains(factor)) {
    for (std::size_t channel = 0; channel < material.look.colour.size(); ++channel) {
      material.look.colour.at(channel) = screen_value(part.at(factor).at(channel).get<double>());
    }
  }
  if (part.contains(texture)) {
    read_texture(part.at(texture), material);
  }
  return material;
}

void GltfMaterials::read_texture(const json& info, GltfMaterial& material) {
  material.look.picture = picture(file_.number(info, "index"));
  if (!material.look.picture) {
    material.look.colour = kGrey;
  }
  material.texture.set = file_.number(info, "texCoord", 0);
  const json extensions = info.value("extensions", json::object());
  if (extensions.contains("KHR_texture_transform")) {
    const json& move = extensions.at("KHR_texture_transform");
    material.texture.set = file_.number(move, "texCoord", material.texture.set);
    material.texture.offset = pair_of(move, "offset", material.texture.offset);
    material.texture.scale = pair_of(move, "scale", material.texture.scale);
    material.texture.rotation_rad = move.value("rotation", 0.0);
  }
}

std::shared_ptr<const Image> GltfMaterials::picture(std::size_t texture) {
  const auto [at, is_new] = pictures_.try_emplace(texture);
  if (!is_new) {
    return at->second;
  }
  const json& source = file_.element("textures", texture);
  std::string name = std::to_string(texture);
  if (source.contains("source")) {
    const json& image = file_.element("images", file_.number(source, "source"));
    const std::string uri = image.value("uri", std::string());
    name = uri.empty() || uri.starts_with("data:") ? image.value("name", name) : decode_percent(uri);
    if (const std::shared_ptr<Image> picture = decode(image)) {
      if (source.contains("sampler")) {
        const json& sampler = file_.element("samplers", file_.number(source, "sampler"));
        picture->wrap_u = wrap_of(file_.number(sampler, "wrapS", 0));
        picture->wrap_v = wrap_of(file_.number(sampler, "wrapT", 0));
      }
      at->second = picture;
    }
  }
  if (!at->second) {
    warnings_.emplace_back(PictureMissing{name});
  }
  return at->second;
}

std::shared_ptr<Image> GltfMaterials::decode(const json& image) const {
  if (image.contains("bufferView")) {
    return decode_image(file_.view(file_.number(image, "bufferView")));
  }
  if (!image.contains("uri")) {
    return nullptr;
  }
  const auto& uri = image.at("uri").get_ref<const std::string&>();
  if (uri.starts_with("data:")) {
    const std::optional<std::vector<char>> bytes = decode_data_uri(uri);
    return bytes ? decode_image({bytes->data(), bytes->size()}) : nullptr;
  }
  return load_image(picture_beside(file_.path(), decode_percent(uri)));
}

}  // namespace flitchwise::scan
