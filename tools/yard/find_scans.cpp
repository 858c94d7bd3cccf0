#include "tools/yard/find_scans.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include "scan/model/errors.hpp"
#include "scan/read_scan.hpp"
#include "tools/job/from_words.hpp"

namespace flitchwise::yard {
namespace {

namespace fs = std::filesystem;

/// A file that bears one of these is meant to be a scan, whatever is in it.
constexpr auto kScanEndings = std::to_array<std::string_view>(
    {".ply", ".pcd", ".las", ".laz", ".e57", ".obj", ".stl", ".gltf", ".glb", ".xyz", ".pts", ".ptx", ".usdz",
     ".usd", ".usda", ".usdc", ".fbx", ".drc"});
constexpr auto kUnfinishedEndings =
    std::to_array<std::string_view>({".part", ".tmp", ".crdownload", ".filepart", ".download"});

template <typename Endings>
bool ends_in(const fs::path& file, const Endings& endings) {
  return std::find(endings.begin(), endings.end(), lower_case(file.extension().string())) != endings.end();
}

bool is_same(const fs::path& a, const fs::path& b) {
  std::error_code ignored;
  return fs::equivalent(a, b, ignored);
}

class Finder {
 public:
  Finder(const FindOptions& options, std::vector<fs::path>& found) : options_(options), found_(found) {}

  void search(const fs::path& folder) {
    for (const auto& there : fs::directory_iterator(folder)) {
      const fs::path& path = there.path();
      if (is_passed_over(path)) {
        continue;
      }
      if (there.is_directory()) {
        if (scan::is_scan(path)) {
          found_.push_back(path);
        } else if (!fs::exists(path / "plan.json") && !fs::exists(path / kStoreFile)) {
          search(path);
        }
      } else if (there.is_regular_file() && (ends_in(path, kScanEndings) || scan::is_scan(path))) {
        found_.push_back(path);
      }
    }
  }

 private:
  bool is_passed_over(const fs::path& path) const {
    const std::string name = path.filename().string();
    return name.starts_with('.') || name.ends_with('~') || name == kSettingsFile ||
           ends_in(path, kUnfinishedEndings) ||
           std::any_of(options_.not_in.begin(), options_.not_in.end(),
                       [&](const fs::path& other) { return is_same(path, other); });
  }

  const FindOptions& options_;
  std::vector<fs::path>& found_;
};

}  // namespace

std::vector<fs::path> find_scans(const fs::path& folder, const FindOptions& options) {
  std::error_code error;
  if (!fs::exists(folder, error)) {
    throw InputError(folder.string() + " does not exist: name the folder that holds the scans.");
  }
  if (!fs::is_directory(folder, error)) {
    throw InputError(
        folder.string() +
        " is no folder: name the folder that holds the scans, or use 'flitchwise plan' for one.");
  }
  std::vector<fs::path> found;
  try {
    Finder(options, found).search(folder);
  } catch (const fs::filesystem_error& trouble) {
    throw InputError(trouble.path1().string() + " cannot be searched (" + trouble.code().message() +
                     "): check its access rights.");
  }
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace flitchwise::yard
