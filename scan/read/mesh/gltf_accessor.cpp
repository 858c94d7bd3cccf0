#include "scan/read/mesh/gltf_accessor.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "scan/read/cursor.hpp"
#include "scan/read/mesh/mesh.hpp"
#include "scan/read/records.hpp"

namespace flitchwise::scan {
namespace {

using nlohmann::json;

/// A component type, and what its numbers are multiplied with where they are normalised integers.
struct ComponentType {
  Scalar type;
  double normalising_factor;
};

ComponentType component_type(const GltfFile& file, const json& object) {
  static const std::map<std::size_t, ComponentType> kTypes = {
      {5120, {Scalar::i8, 1.0 / 127}},    {5121, {Scalar::u8, 1.0 / 255}}, {5122, {Scalar::i16, 1.0 / 32767}},
      {5123, {Scalar::u16, 1.0 / 65535}}, {5125, {Scalar::u32, 1}},        {5126, {Scalar::f32, 1}}};
  const std::size_t code = file.number(object, "componentType");
  const auto at = kTypes.find(code);
  if (at == kTypes.end()) {
    file.fail_damaged("unknown component type " + std::to_string(code));
  }
  return at->second;
}

}  // namespace

GltfAccessor::GltfAccessor(const GltfFile& file, std::size_t index) : file_(file) {
  const json& accessor = file.element("accessors", index);
  count_ = file.number(accessor, "count");
  file.check_size(count_);
  const std::string type = accessor.at("type").get<std::string>();
  components_ = type == "SCALAR" ? 1 : type == "VEC2" ? 2 : type == "VEC3" ? 3 : type == "VEC4" ? 4 : 0;
  if (components_ == 0) {
    file.fail_damaged("an accessor of type " + scan::quoted(type));
  }
  const ComponentType component = component_type(file, accessor);
  type_ = component.type;
  factor_ = accessor.value("normalized", false) ? component.normalising_factor : 1;
  if (accessor.contains("bufferView")) {
    read_view(accessor);
  }
  if (accessor.contains("sparse")) {
    read_sparse(accessor.at("sparse"));
  }
}

GltfAccessor::GltfAccessor(const GltfFile& file, std::size_t index, const DracoNumbers& unpacked)
    : file_(file),
      count_(unpacked.values.size() / unpacked.components),
      components_(unpacked.components),
      bytes_(reinterpret_cast<const char*>(unpacked.values.data()), unpacked.values.size() * sizeof(float)),
      stride_(unpacked.components * sizeof(float)) {
  const json& accessor = file.element("accessors", index);
  if (accessor.value("normalized", false) && !unpacked.is_normalised) {
    factor_ = component_type(file, accessor).normalising_factor;
  }
}

void GltfAccessor::read_view(const json& accessor) {
  const std::size_t view = file_.number(accessor, "bufferView");
  const std::size_t offset = file_.number(accessor, "byteOffset", 0);
  const std::size_t size = components_ * size_of(type_);
  bytes_ = file_.view(view);
  stride_ = file_.number(file_.element("bufferViews", view), "byteStride", 0);
  stride_ = stride_ == 0 ? size : stride_;  // packed without gaps
  if (offset > bytes_.size() || (count_ > 0 && (bytes_.size() - offset < size ||
                                                (bytes_.size() - offset - size) / stride_ < count_ - 1))) {
    file_.fail_damaged("an accessor leaves its buffer view");
  }
  bytes_.remove_prefix(offset);
}

void GltfAccessor::read_sparse(const json& sparse) {
  const std::size_t count = file_.number(sparse, "count");
  const json& indices = sparse.at("indices");
  const json& values = sparse.at("values");
  const Scalar type = component_type(file_, indices).type;
  const auto bytes_of = [&](const json& part, std::size_t size) {
    const std::string_view view = file_.view(file_.number(part, "bufferView"));
    const std::size_t offset = file_.number(part, "byteOffset", 0);
    if (offset > view.size() || count > (view.size() - offset) / size) {
      file_.fail_damaged("a sparse accessor leaves its buffer view");
    }
    return view.substr(offset);
  };
  const std::string_view index_bytes = bytes_of(indices, size_of(type));
  replacements_ = bytes_of(values, components_ * size_of(type_));
  for (std::size_t i = 0; i < count; ++i) {
    const double index = load(index_bytes.data() + i * size_of(type), type, false);
    if (!(index >= 0 && index < static_cast<double>(count_)) ||
        (!replaced_.empty() && index <= static_cast<double>(replaced_.back()))) {
      file_.fail_damaged("the indices of a sparse accessor do not ascend");
    }
    replaced_.push_back(static_cast<std::uint32_t>(index));
  }
}

double GltfAccessor::at(std::size_t element, std::size_t component) const {
  const std::size_t within = component * size_of(type_);
  if (!replaced_.empty()) {
    const auto found = std::lower_bound(replaced_.begin(), replaced_.end(), element);
    if (found != replaced_.end() && *found == element) {
      const auto place = static_cast<std::size_t>(found - replaced_.begin());
      return factor_ *
             load(replacements_.data() + place * components_ * size_of(type_) + within, type_, false);
    }
  }
  return bytes_.empty() ? 0 : factor_ * load(bytes_.data() + element * stride_ + within, type_, false);
}

GltfPrimitive::GltfPrimitive(const GltfFile& file, const json& primitive)
    : file_(file), primitive_(primitive) {
  const json* const packed = extension(primitive, "KHR_draco_mesh_compression");
  if (packed == nullptr) {
    return;
  }
  std::map<std::string, std::uint32_t> wanted;
  for (const auto& [name, id] : packed->at("attributes").items()) {
    if (name == "POSITION" || name == "COLOR_0" || name.starts_with("TEXCOORD_")) {
      wanted.emplace(name, id.get<std::uint32_t>());
    }
  }
  unpacked_ = unpack_draco(file.view(file.number(*packed, "bufferView")), wanted);
  if (!unpacked_) {
    file.fail_damaged("what Draco packed cannot be unpacked");
  }
}

std::optional<GltfAccessor> GltfPrimitive::attribute(const std::string& name, std::size_t components,
                                                     std::size_t count) const {
  const json& attributes = primitive_.at("attributes");
  if (!attributes.contains(name)) {
    return std::nullopt;
  }
  const std::size_t index = file_.number(attributes, name.c_str());
  const bool is_unpacked = unpacked_ && unpacked_->attributes.contains(name);
  GltfAccessor accessor =
      is_unpacked ? GltfAccessor(file_, index, unpacked_->attributes.at(name)) : GltfAccessor(file_, index);
  if (accessor.components() < components || accessor.count() < count) {
    file_.fail_damaged("its " + name + " has too few numbers for its corners");
  }
  return accessor;
}

std::size_t GltfPrimitive::corners(std::size_t vertices) const {
  if (unpacked_) {
    return unpacked_->corners.size();
  }
  return primitive_.contains("indices") ? GltfAccessor(file_, file_.number(primitive_, "indices")).count()
                                        : vertices;
}

void GltfPrimitive::visit_corners(std::size_t vertices,
                                  const std::function<void(std::uint32_t)>& take) const {
  const auto take_checked = [&](double vertex) {
    if (!(vertex >= 0 && vertex < static_cast<double>(vertices))) {
      fail_missing_vertex(file_.path(), std::to_string(static_cast<long long>(vertex)), vertices);
    }
    take(static_cast<std::uint32_t>(vertex));
  };
  if (unpacked_) {
    std::for_each(unpacked_->corners.begin(), unpacked_->corners.end(), take_checked);
  } else if (primitive_.contains("indices")) {
    const GltfAccessor indices(file_, file_.number(primitive_, "indices"));
    indices.visit(indices.count(), [&](std::size_t i) { take_checked(indices.at(i, 0)); });
  } else {
    for (std::uint32_t i = 0; i < vertices; ++i) {
      take(i);
    }
  }
}

}  // namespace flitchwise::scan
