#include "scan/read/failure.hpp"

#include "scan/model/errors.hpp"

namespace flitchwise::scan {

void fail(const std::filesystem::path& file, const std::string& what_is_wrong) {
  throw InputError(file.string() + ' ' + what_is_wrong + '.');
}

void fail_cut_short(const std::filesystem::path& file, std::uint64_t held, std::uint64_t promised) {
  fail(file, "holds " + grouped(held) + " of the " + grouped(promised) +
                 " points its header promises: the copy was cut short; copy it again");
}

std::string grouped(std::uint64_t number) {
  constexpr std::size_t kGroup = 3;
  std::string text = std::to_string(number);
  for (std::size_t from_right = kGroup; from_right < text.size(); from_right += kGroup + 1) {
    text.insert(text.size() - from_right, 1, ',');
  }
  return text;
}

}  // namespace flitchwise::scan
