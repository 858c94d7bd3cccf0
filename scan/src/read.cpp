#include "flitchwise/scan/read.hpp"

#include "flitchwise/errors.hpp"

namespace flitchwise::scan {

ReadResult read(const std::filesystem::path& file, const ReadOptions& options) {
  constexpr std::size_t kFewestMaxPoints = 1000;  // below this no log keeps its shape
  require(options.max_points >= kFewestMaxPoints, "max_points must be at least 1000");
  throw InputError(file.string() + " is of no known format.");
}

}  // namespace flitchwise::scan
