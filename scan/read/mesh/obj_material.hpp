#pragma once
/// The materials beside an OBJ file (MTL), as far as they colour: Kd and map_Kd.

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "scan/model/scan_facts.hpp"
#include "scan/read/mesh/mesh.hpp"

namespace flitchwise::scan {

struct MaterialLibrary {
  std::map<std::string, MeshMaterial, std::less<>> materials;
  std::vector<ScanFact> warnings;  ///< pictures and files that are missing

  /// The picture in this file, decoded once; null if it cannot be read.
  std::shared_ptr<const Image> picture(const std::filesystem::path& file);

 private:
  std::map<std::string, std::shared_ptr<const Image>, std::less<>> pictures_;
};

/// Adds the materials of a file named in an OBJ file's mtllib line. Never throws for what is missing or
/// damaged: a warning says so.
void add_materials(const std::filesystem::path& obj, std::string_view name, MaterialLibrary& library);

}  // namespace flitchwise::scan
