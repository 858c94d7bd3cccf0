#include "tests/support/random_yard.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include "solver/plan/board_size.hpp"

namespace flitchwise::test {
namespace {

/// The standard's distributions differ between libraries; these do not.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}
  int whole(int least, int most) {
    return least + static_cast<int>(engine_() % static_cast<std::uint64_t>(most - least + 1));
  }
  double real(double least, double most) {
    constexpr double kStep = 0x1p-53;
    constexpr int kDropped = 11;
    return least + (most - least) * static_cast<double>(engine_() >> kDropped) * kStep;
  }

 private:
  std::mt19937_64 engine_;
};

std::string name_of(int log) {
  const std::string number = std::to_string(log);
  return "log-" + std::string(5 - number.size(), '0') + number;
}

}  // namespace

RandomYard small_yard(std::uint64_t seed) {
  Dice dice(seed);
  RandomYard yard;
  const int lines = dice.whole(1, 4);
  for (int i = 0; i < lines; ++i) {
    solver::OrderLine line;
    line.target = solver::board_size("50x" + std::to_string(100 + 25 * i) + "x3000");
    line.target.value = dice.whole(1, 6);
    line.quantity = dice.whole(1, 9);
    line.on_hand = dice.whole(0, 2);
    line.priority = dice.whole(1, 2);
    yard.order.lines.push_back(line);
  }
  const int logs = dice.whole(2, 6);
  for (int i = 0; i < logs; ++i) {
    solver::YardLog log{name_of(i), {}};
    // Few sizes of logs, so that ties in wood are common.
    const double wood_m3 = 0.1 * dice.whole(2, 5);
    const int candidates = dice.whole(0, 4);
    for (int k = 0; k < candidates; ++k) {
      solver::Candidate candidate;
      for (int line = 0; line < lines; ++line) {
        candidate.boards.push_back(std::max(0, dice.whole(-2, 4)));
      }
      candidate.wood_m3 = dice.whole(0, 4) == 0 ? wood_m3 / 2 : wood_m3;  // a piece set aside
      candidate.rolls = dice.whole(0, 2);
      candidate.margin_m = 0.001 * dice.whole(0, 9);
      log.candidates.push_back(candidate);
    }
    yard.logs.push_back(log);
  }
  return yard;
}

RandomYard large_yard(std::uint64_t seed, int logs, int lines, int candidates, double share) {
  Dice dice(seed);
  RandomYard yard;
  std::vector<double> board_m3;
  for (int i = 0; i < lines; ++i) {
    solver::OrderLine line;
    const int thickness_mm = 25 * dice.whole(1, 3);
    const int length_mm = 1000 + 100 * i + 1000 * dice.whole(0, 2);
    line.target = solver::board_size(std::to_string(thickness_mm) + "x150x" + std::to_string(length_mm));
    board_m3.push_back(line.target.thickness_m * line.target.width_m * line.target.length_m);
    line.target.value = std::round(1000 * board_m3.back());
    line.priority = dice.whole(1, 3);
    yard.order.lines.push_back(line);
  }
  for (int i = 0; i < logs; ++i) {
    solver::YardLog log{name_of(i), {}};
    const double wood_m3 = dice.real(0.15, 0.9);
    for (int k = 0; k < candidates; ++k) {
      solver::Candidate candidate{std::vector<int>(board_m3.size(), 0), wood_m3, dice.whole(0, 2),
                                  dice.real(0, 0.02)};
      double left_m3 = wood_m3 * dice.real(0.45, 0.65);
      for (int sizes = dice.whole(1, 3); sizes > 0; --sizes) {
        const auto line = static_cast<std::size_t>(dice.whole(0, lines - 1));
        const double part_m3 = sizes == 1 ? left_m3 : left_m3 * dice.real(0, 1);
        const int boards = static_cast<int>(part_m3 / board_m3[line]);
        candidate.boards[line] += boards;
        left_m3 -= boards * board_m3[line];
      }
      log.candidates.push_back(candidate);
    }
    const solver::Candidate& sawn = log.candidates[static_cast<std::size_t>(dice.whole(0, candidates - 1))];
    for (std::size_t line = 0; line < board_m3.size(); ++line) {
      yard.order.lines[line].quantity += sawn.boards[line];
    }
    yard.logs.push_back(log);
  }
  for (solver::OrderLine& line : yard.order.lines) {
    line.quantity = std::max(1, static_cast<int>(line.quantity * share));
  }
  return yard;
}

}  // namespace flitchwise::test
