#pragma once
/// Everything that a run leaves in its folder besides the store.

#include <vector>

#include "tools/yard/keys.hpp"
#include "tools/yard/store.hpp"
#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

/// Writes the files of each chosen plan into a folder of its own below plans/, unless they are there already,
/// removes those of logs that are not sawn any more, and then writes tables and page. Each folder and each
/// file appears complete or not at all. Returns false if it was stopped before. Throws InputError.
bool write_yard(const YardRequest& request, Store& store, const std::vector<KeyedLog>& keyed,
                YardResult& result);

/// A log's name as that of a folder: as it is where that is possible.
std::string folder_name(const std::string& log);

}  // namespace flitchwise::yard
