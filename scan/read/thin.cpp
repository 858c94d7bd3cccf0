#include "scan/read/thin.hpp"

#include <bit>
#include <cmath>

#include "scan/model/errors.hpp"

namespace flitchwise::scan {
namespace {

constexpr int kCoordinateBits = 21;  // three coordinates in one 64-bit key
constexpr std::uint64_t kCoordinateMask = (std::uint64_t{1} << kCoordinateBits) - 1;
constexpr std::uint64_t kSpread = 0x9E3779B97F4A7C15ULL;  // 2^64 / golden ratio: Fibonacci hashing
constexpr std::size_t kLeastSlots = 1024;

std::uint64_t key_of(std::int32_t x, std::int32_t y, std::int32_t z) {
  const auto part = [](std::int32_t v) {
    return static_cast<std::uint64_t>(static_cast<std::uint32_t>(v)) & kCoordinateMask;
  };
  return (part(x) << (2 * kCoordinateBits)) | (part(y) << kCoordinateBits) | part(z);
}

}  // namespace

CellIndex::CellIndex(std::size_t expected_cells) {
  const std::size_t slots = std::bit_ceil(std::max(kLeastSlots, 2 * expected_cells));
  keys_.assign(slots, 0);
  numbers_.assign(slots, 0);
}

std::uint32_t CellIndex::find_or_add(std::int32_t x, std::int32_t y, std::int32_t z) {
  const std::uint64_t stored = key_of(x, y, z) + 1;
  const std::size_t mask = keys_.size() - 1;
  std::size_t slot = static_cast<std::size_t>((stored * kSpread) >> 32U) & mask;
  while (keys_[slot] != 0) {
    if (keys_[slot] == stored) {
      return numbers_[slot];
    }
    slot = (slot + 1) & mask;
  }
  keys_[slot] = stored;
  const auto number = static_cast<std::uint32_t>(count_++);
  numbers_[slot] = number;
  if (2 * count_ > keys_.size()) {
    grow();
  }
  return number;
}

void CellIndex::grow() {
  std::vector<std::uint64_t> keys(2 * keys_.size(), 0);
  std::vector<std::uint32_t> numbers(2 * keys_.size(), 0);
  const std::size_t mask = keys.size() - 1;
  for (std::size_t i = 0; i < keys_.size(); ++i) {
    if (keys_[i] == 0) {
      continue;
    }
    std::size_t slot = static_cast<std::size_t>((keys_[i] * kSpread) >> 32U) & mask;
    while (keys[slot] != 0) {
      slot = (slot + 1) & mask;
    }
    keys[slot] = keys_[i];
    numbers[slot] = numbers_[i];
  }
  keys_.swap(keys);
  numbers_.swap(numbers);
}

Cloud thin(const Cloud& cloud, double edge) {
  require(edge > 0, "the edge of the thinning grid must be positive");
  const auto inverse = static_cast<float>(1 / edge);
  CellIndex cells(cloud.size() / 4);
  Cloud thinned;
  thinned.origin = cloud.origin;
  std::vector<float> counts;
  for (const Eigen::Vector3f& p : cloud.points) {
    const Eigen::Array3f cell = (p.array() * inverse).floor();
    const std::uint32_t number =
        cells.find_or_add(static_cast<std::int32_t>(cell.x()), static_cast<std::int32_t>(cell.y()),
                          static_cast<std::int32_t>(cell.z()));
    if (number == counts.size()) {
      counts.push_back(0);
      thinned.points.emplace_back(Eigen::Vector3f::Zero());
    }
    counts[number] += 1;
    thinned.points[number] +=
        (p - thinned.points[number]) / counts[number];  // running mean: no overflow of digits
  }
  return thinned;
}

}  // namespace flitchwise::scan
