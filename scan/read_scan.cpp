#include "scan/read_scan.hpp"

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>

#include "scan/depth/fuse.hpp"
#include "scan/depth/layout.hpp"
#include "scan/model/errors.hpp"
#include "scan/read/e57.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/foreign.hpp"
#include "scan/read/gather.hpp"
#include "scan/read/las.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/mesh/gltf.hpp"
#include "scan/read/mesh/obj.hpp"
#include "scan/read/mesh/stl.hpp"
#include "scan/read/pcd.hpp"
#include "scan/read/pcd_header.hpp"
#include "scan/read/ply.hpp"
#include "scan/read/xyz.hpp"

namespace flitchwise::scan {
namespace {

bool is_text(std::string_view bytes) {
  constexpr std::size_t kFarEnough = 4096;
  return bytes.substr(0, kFarEnough).find('\0') == std::string_view::npos;
}

std::unique_ptr<PointSource> open(const MappedFile& file, std::size_t max_points) {
  if (looks_like_ply(file)) {
    return open_ply(file, max_points);
  }
  if (looks_like_pcd(file)) {
    return open_pcd(file);
  }
  if (looks_like_las(file)) {
    return open_las(file);
  }
  if (looks_like_e57(file)) {
    return open_e57(file);
  }
  if (looks_like_gltf(file)) {
    return open_gltf(file, max_points);
  }
  if (const std::optional<std::string> answer = recognise_foreign(file.bytes())) {
    fail(file.path(), *answer);
  }
  if (looks_like_stl(file)) {
    return open_stl(file, max_points);
  }
  if (is_text(file.bytes())) {
    if (looks_like_obj(file)) {
      return open_obj(file, max_points);
    }
    if (auto source = open_xyz(file)) {
      return source;
    }
  }
  fail(file.path(),
       "is of no known format: give a point cloud in PLY, PCD, LAS, E57 or XYZ text, or a mesh in PLY, OBJ, "
       "STL or glTF");
}

bool is_known(const MappedFile& file) {
  if (looks_like_ply(file) || looks_like_pcd(file) || looks_like_las(file) || looks_like_e57(file) ||
      looks_like_gltf(file)) {
    return true;
  }
  if (recognise_foreign(file.bytes())) {
    return false;
  }
  return looks_like_stl(file) ||
         (is_text(file.bytes()) && (looks_like_obj(file) || open_xyz(file) != nullptr));
}

}  // namespace

bool is_scan(const std::filesystem::path& file) {
  std::error_code ignored;
  if (std::filesystem::is_directory(file, ignored)) {
    try {
      return is_depth_folder(file);
    } catch (const std::filesystem::filesystem_error&) {
      return false;  // may not be searched
    }
  }
  if (std::filesystem::is_empty(file, ignored)) {
    return false;
  }
  std::optional<MappedFile> mapped;
  try {
    mapped.emplace(file);
  } catch (const InputError&) {
    return false;
  }
  try {
    return is_known(*mapped);
  } catch (const InputError&) {
    return true;  // of a known kind, but no use: `read` says why
  }
}

ReadResult read(const ScanFile& scan, const ReadOptions& options) {
  check_limits(options);
  std::error_code ignored;
  if (!scan.bytes && std::filesystem::is_directory(scan.path, ignored)) {
    return read_depth_folder(scan.path, options);
  }
  MappedFile file = scan.bytes ? MappedFile(scan.path, *scan.bytes) : MappedFile(scan.path);
  return gather(file, *open(file, options.max_points), options);
}

ReadResult read(const std::filesystem::path& file, const ReadOptions& options) {
  return read(ScanFile{file}, options);
}

}  // namespace flitchwise::scan
