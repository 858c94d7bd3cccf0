#include "scan/read/mesh/gltf_material.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace flitchwise::scan {
namespace {

using nlohmann::json;

constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();  // a texture without a picture

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
  const json* const old = extension(source, kOldModel);
  if (old != nullptr && !part.contains(texture)) {
    part = *old;
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
  const json& texture = file_.element("textures", file_.number(info, "index"));
  material.look.picture = picture(file_.number(texture, "source", kNone));
  if (!material.look.picture) {
    material.look.colour = kGrey;
  }
  if (texture.contains("sampler")) {
    const json& sampler = file_.element("samplers", file_.number(texture, "sampler"));
    material.look.wrap_u = wrap_of(file_.number(sampler, "wrapS", 0));
    material.look.wrap_v = wrap_of(file_.number(sampler, "wrapT", 0));
  }
  material.texture.set = file_.number(info, "texCoord", 0);
  if (const json* const move = extension(info, "KHR_texture_transform")) {
    material.texture.set = file_.number(*move, "texCoord", material.texture.set);
    material.texture.offset = pair_of(*move, "offset", material.texture.offset);
    material.texture.scale = pair_of(*move, "scale", material.texture.scale);
    material.texture.rotation_rad = move->value("rotation", 0.0);
  }
}

std::shared_ptr<const Image> GltfMaterials::picture(std::size_t image) {
  const auto [at, is_new] = by_image_.try_emplace(image);
  if (is_new) {
    const std::string name = "number " + std::to_string(image);
    at->second =
        image == kNone ? pictures_.decode("of a texture", {}) : decode(name, file_.element("images", image));
  }
  return at->second;
}

std::shared_ptr<const Image> GltfMaterials::decode(const std::string& name, const json& image) {
  const std::string uri = image.value("uri", std::string());
  if (image.contains("bufferView")) {
    return pictures_.decode(image.value("name", name), file_.view(file_.number(image, "bufferView")));
  }
  if (uri.starts_with("data:")) {
    const std::vector<char> bytes = decode_data_uri(uri).value_or(std::vector<char>());
    return pictures_.decode(image.value("name", name), {bytes.data(), bytes.size()});
  }
  return pictures_.beside(decode_percent(uri));
}

}  // namespace flitchwise::scan
