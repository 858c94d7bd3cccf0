#include "solver/plan/board_size.hpp"

#include <array>
#include <cmath>
#include <sstream>
#include <string_view>

#include "scan/model/errors.hpp"
#include "scan/model/numbers.hpp"
#include "scan/model/units.hpp"

namespace flitchwise::solver {
namespace {

[[noreturn]] void reject(const std::string& text) {
  std::ostringstream message;
  message << "'" << text
          << "' is no board size; write thickness x width x length in millimetres, for example 50x150x3000, "
             "and if you like =VALUE behind it, for example 50x150x3000=12.5";
  throw BadUse(message.str());
}

}  // namespace

Target board_size(const std::string& text) {
  std::string plain = text;
  std::erase(plain, ' ');
  for (const std::string times : {"\u00d7", "X", "*"}) {
    for (std::size_t at = plain.find(times); at != std::string::npos; at = plain.find(times)) {
      plain.erase(at, times.size());
      plain.insert(at, 1, 'x');
    }
  }
  double value = 1;
  if (const std::size_t equals = plain.find('='); equals != std::string::npos) {
    value = parse_double(std::string_view(plain).substr(equals + 1)).value_or(0);
    if (value <= 0) {
      reject(text);
    }
    plain.erase(equals);
  }
  std::array<double, 3> size_mm{};
  const char* next = plain.data();
  const char* end = next + plain.size();
  for (std::size_t i = 0; i < size_mm.size(); ++i) {
    const char* const rest = read_double(next, end, size_mm.at(i));
    const bool last = i + 1 == size_mm.size();
    if (rest == nullptr || !std::isfinite(size_mm.at(i)) || size_mm.at(i) <= 0 ||
        (last ? rest != end : rest == end || *rest != 'x')) {
      reject(text);
    }
    next = last ? rest : rest + 1;
  }
  Target target{plain, size_mm[0] / kMmAMetre, size_mm[1] / kMmAMetre, size_mm[2] / kMmAMetre, value};
  check(target);
  return target;
}

}  // namespace flitchwise::solver
