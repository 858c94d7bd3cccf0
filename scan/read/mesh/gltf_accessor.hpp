#pragma once
/// The numbers of a glTF model's meshes.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scan/read/fields.hpp"
#include "scan/read/mesh/draco.hpp"
#include "scan/read/mesh/gltf_file.hpp"

namespace flitchwise::scan {

/// The numbers that an accessor describes: any component type, stride and sparse replacement, or unpacked
/// ones in the place of the file's.
class GltfAccessor {
 public:
  /// Throws InputError if the accessor leaves its buffer view.
  GltfAccessor(const GltfFile& file, std::size_t index);
  GltfAccessor(const GltfFile& file, std::size_t index, const DracoNumbers& unpacked);

  std::size_t count() const { return count_; }
  std::size_t components() const { return components_; }
  /// Requires: element < count(), component < components(). Normalised integers come as 0..1 or -1..1.
  double at(std::size_t element, std::size_t component) const;
  /// Calls `take` with every element's number in turn and gives the file's pages back behind it.
  template <typename Take>
  void visit(std::size_t count, const Take& take) const {
    constexpr std::size_t kStep = 65'536;
    for (std::size_t i = 0; i < count; ++i) {
      take(i);
      if (i % kStep == 0 && !bytes_.empty()) {
        file_.passed(bytes_.data() + i * stride_);
      }
    }
  }

 private:
  void read_view(const nlohmann::json& accessor);
  void read_sparse(const nlohmann::json& sparse);

  const GltfFile& file_;
  std::size_t count_ = 0;
  std::size_t components_ = 1;
  Scalar type_ = Scalar::f32;
  double factor_ = 1;
  std::string_view bytes_;  // empty: zeros
  std::size_t stride_ = 0;
  std::vector<std::uint32_t> replaced_;  // ascending
  std::string_view replacements_;
};

/// What a primitive is made of, in accessors or packed by Draco.
class GltfPrimitive {
 public:
  /// Requires: there are attributes. Throws InputError if what Draco packed is damaged.
  GltfPrimitive(const GltfFile& file, const nlohmann::json& primitive);

  /// The attribute of this name, if there is one. Throws InputError if it has fewer elements or components
  /// than wanted.
  std::optional<GltfAccessor> attribute(const std::string& name, std::size_t components,
                                        std::size_t count) const;
  /// How many corners its triangles have.
  std::size_t corners(std::size_t vertices) const;
  /// Calls `take` with every corner's vertex, from 0. Throws InputError for one that is not among `vertices`.
  void visit_corners(std::size_t vertices, const std::function<void(std::uint32_t)>& take) const;
  /// What Draco packed are always single triangles, whatever the primitive's mode.
  bool is_unpacked() const { return unpacked_.has_value(); }

 private:
  const GltfFile& file_;
  const nlohmann::json& primitive_;
  std::optional<DracoMesh> unpacked_;
};

}  // namespace flitchwise::scan
