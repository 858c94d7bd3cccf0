#pragma once
/// Which scans lie in a folder.

#include <filesystem>
#include <string>
#include <vector>

namespace flitchwise::yard {

/// What is left out of the search besides hidden files, tables and results of this program.
struct FindOptions {
  std::vector<std::filesystem::path> not_in;  ///< files and folders
};

/// Every file and folder of depth images below `folder` that is a scan by its content, and every file that
/// bears a scan's ending but is none, so that somebody is told; sorted by path. Folders that hold a plan.json
/// or a yard.sqlite are results and are passed over, and so is what a sync program has not finished (hidden,
/// .part, .tmp, .crdownload, .filepart). Throws InputError if the folder is missing or cannot be searched.
std::vector<std::filesystem::path> find_scans(const std::filesystem::path& folder,
                                              const FindOptions& options = {});

/// The table of what is known of each scan, within the yard's folder.
constexpr const char* kSettingsFile = "logs.csv";
/// What marks a folder as one of results.
constexpr const char* kStoreFile = "yard.sqlite";

}  // namespace flitchwise::yard
