#include "scan/read/thinner.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <unordered_set>
#include <utility>

namespace flitchwise::scan {
namespace {

constexpr unsigned kBitsPerAxis = 21;  // three of them fill a 64-bit key
constexpr double kMostCells = (1U << (kBitsPerAxis - 1)) - 1;

// Key of the cell of a point, never 0.
std::uint64_t cell_key(const Eigen::Vector3f& point, double inverse_edge) {
  std::uint64_t key = 1;
  for (int i = 0; i < 3; ++i) {
    // Above zero, cutting off the fraction is the floor, and far quicker.
    const double cell =
        std::clamp(static_cast<double>(point[i]) * inverse_edge, -kMostCells, kMostCells) + kMostCells;
    key = (key << kBitsPerAxis) | static_cast<std::uint64_t>(static_cast<std::int64_t>(cell));
  }
  return key;
}

// Multiplicative hashing (Knuth): the odd number nearest to 2^64 / golden ratio spreads neighbouring keys
// over the upper bits.
std::uint64_t hash(std::uint64_t key) {
  constexpr std::uint64_t kGolden = 0x9E3779B97F4A7C15U;
  constexpr unsigned kHalf = 32;
  key *= kGolden;
  return (key ^ (key >> kHalf)) * kGolden;
}

}  // namespace

Thinner::Thinner(Cloud& cloud, std::size_t most, std::uint64_t expected, float finest_edge)
    : cloud_(cloud), most_(most), expected_(expected), finest_edge_(finest_edge) {}

void Thinner::add(const Eigen::Vector3f& point, const Colour* colour) {
  ++added_;
  if (edge_ == 0 && cloud_.size() == most_) {
    make_room();
  }
  if (edge_ > 0) {
    if (cloud_.size() == most_ && !is_taken(point)) {
      make_room();
    }
    if (!take_cell(point)) {
      return;
    }
  }
  cloud_.points.push_back(point);
  if (colour != nullptr) {
    cloud_.colours.push_back(*colour);
  }
}

void Thinner::make_room() {
  // Near the end of the file, just room for what is still to come; before that half, because nobody knows
  // whether the rest covers new ground or the same again.
  constexpr double kLeastKept = 0.5;
  constexpr double kCaution = 0.97;  // the estimate of the edge is good to a few percent
  const double share = static_cast<double>(added_) / static_cast<double>(expected_);
  const auto goal =
      static_cast<std::size_t>(static_cast<double>(most_) * std::max(kLeastKept, share * kCaution));
  while (cloud_.size() == most_) {
    coarsen(goal);
  }
}

void Thinner::coarsen(std::size_t goal) {
  edge_ = edge_for(goal);
  inverse_edge_ = 1 / static_cast<double>(edge_);
  cells_.assign(most_ + most_ / 2, 0);  // two thirds full at most: the probes stay short
  std::size_t kept = 0;
  constexpr std::size_t kAhead =
      24;  // the table is larger than the caches: ask for a slot before it is needed
  for (std::size_t i = 0; i < cloud_.size(); ++i) {
    const Eigen::Vector3f& later = cloud_.points[std::min(i + kAhead, cloud_.size() - 1)];
    __builtin_prefetch(&cells_[first_slot(cell_key(later, inverse_edge_))]);
    if (take_cell(cloud_.points[i])) {
      cloud_.points[kept] = cloud_.points[i];
      if (!cloud_.colours.empty()) {
        cloud_.colours[kept] = cloud_.colours[i];
      }
      ++kept;
    }
  }
  cloud_.points.resize(kept);
  cloud_.colours.resize(cloud_.colours.empty() ? 0 : kept);
}

// The smallest edge of a ladder that leaves at most `goal` cells, by counting the cells whose hash ends in
// zeros.
float Thinner::edge_for(std::size_t goal) const {
  constexpr float kRung = 1.05F;  // finer rungs gain less than the estimate's error
  constexpr int kRungs = 400;     // 1.05^400 = 3e8: from the finest edge to more than the whole scene
  constexpr std::size_t kSampled = 16'384;  // cells at least, for an estimate within 1 %
  const std::uint64_t one_in = std::bit_floor(std::max<std::size_t>(goal / kSampled, 1));
  const auto cells_at = [&](float edge) {
    const double inverse = 1 / static_cast<double>(edge);
    std::unordered_set<std::uint64_t> sampled;
    for (const Eigen::Vector3f& point : cloud_.points) {
      const std::uint64_t key = hash(cell_key(point, inverse));
      if ((key & (one_in - 1)) == 0) {
        sampled.insert(key);
      }
    }
    return sampled.size() * one_in;
  };
  const auto rung = [&](int step) {
    return std::max(finest_edge_, edge_) * std::pow(kRung, static_cast<float>(step));
  };
  int too_fine = 0;
  int coarse = kRungs;
  while (coarse - too_fine > 1) {
    const int middle = (too_fine + coarse) / 2;
    (cells_at(rung(middle)) > goal ? too_fine : coarse) = middle;
  }
  return rung(coarse);
}

std::size_t Thinner::first_slot(std::uint64_t key) const {
  // The upper half of the hash as a fraction of the table.
  constexpr unsigned kHalf = 32;
  return ((hash(key) >> kHalf) * cells_.size()) >> kHalf;
}

std::size_t Thinner::slot_of(std::uint64_t key) const {
  std::size_t slot = first_slot(key);
  while (cells_[slot] != 0 && cells_[slot] != key) {
    slot = slot + 1 == cells_.size() ? 0 : slot + 1;
  }
  return slot;
}

bool Thinner::is_taken(const Eigen::Vector3f& point) const {
  return cells_[slot_of(cell_key(point, inverse_edge_))] != 0;
}

bool Thinner::take_cell(const Eigen::Vector3f& point) {
  const std::uint64_t key = cell_key(point, inverse_edge_);
  std::uint64_t& cell = cells_[slot_of(key)];
  return std::exchange(cell, key) == 0;
}

}  // namespace flitchwise::scan
