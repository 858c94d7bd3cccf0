#pragma once
/// The materials beside an OBJ file (MTL), as far as they colour: Kd and map_Kd.

#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "scan/read/mesh/mesh.hpp"

namespace flitchwise::scan {

class ObjMaterials {
 public:
  explicit ObjMaterials(std::filesystem::path obj) : obj_(std::move(obj)), pictures_(obj_) {}

  /// Adds the materials of the file that an mtllib line names, the first time that it is named. What is
  /// missing or damaged is a warning.
  void add_library(std::string_view name);
  /// Grey if there is none of this name.
  MeshMaterial find(std::string_view name) const;
  /// Of missing files and pictures.
  std::vector<ScanFact> warnings() const;

 private:
  void take_line(std::string_view line, MeshMaterial*& material);

  std::filesystem::path obj_;
  Pictures pictures_;
  std::map<std::string, MeshMaterial, std::less<>> materials_;
  std::set<std::filesystem::path> read_;
  std::set<std::string, std::less<>> missing_;
};

}  // namespace flitchwise::scan
