#include "scan/depth/voxel_mean.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::scan {

VoxelMean::Sum& VoxelMean::sum_of_cell(const Eigen::Vector3d& point) {
  const auto cell = [&](Eigen::Index i) { return static_cast<std::int32_t>(std::floor(point[i] / edge_)); };
  const std::uint32_t number = cells_.find_or_add(cell(0), cell(1), cell(2));
  if (number == sums_.size()) {
    sums_.emplace_back();
  }
  return sums_[number];
}

void VoxelMean::add(const Eigen::Vector3d& point, double weight, const Colour* colour) {
  Sum& sum = sum_of_cell(point);
  sum.offset += weight * point;
  sum.weight += weight;
  if (colour != nullptr) {
    const auto w = static_cast<float>(weight);
    sum.colour += w * Eigen::Vector3f((*colour)[0], (*colour)[1], (*colour)[2]);
    sum.colour_weight += w;
  }
  if (sums_.size() > most_) {
    coarsen();
  }
}

void VoxelMean::coarsen() {
  while (sums_.size() > most_) {
    edge_ *= 2;
    cells_ = CellIndex(kExpected);
    const std::vector<Sum> fine = std::move(sums_);
    sums_.clear();
    for (const Sum& part : fine) {
      Sum& sum = sum_of_cell(part.offset / part.weight);
      sum.offset += part.offset;
      sum.weight += part.weight;
      sum.colour += part.colour;
      sum.colour_weight += part.colour_weight;
    }
  }
}

Cloud VoxelMean::cloud(bool with_colours) const {
  constexpr std::uint8_t kGrey = 128;
  constexpr float kByteMax = 255;
  Cloud cloud;
  cloud.points.reserve(sums_.size());
  cloud.colours.reserve(with_colours ? sums_.size() : 0);
  for (const Sum& sum : sums_) {
    cloud.points.emplace_back((sum.offset / sum.weight).cast<float>());
    if (with_colours) {
      const Eigen::Vector3f mean = sum.colour_weight > 0 ? Eigen::Vector3f(sum.colour / sum.colour_weight)
                                                         : Eigen::Vector3f::Constant(kGrey);
      const auto byte = [&](Eigen::Index i) {
        return static_cast<std::uint8_t>(std::lround(std::clamp(mean[i], 0.0F, kByteMax)));
      };
      cloud.colours.push_back({byte(0), byte(1), byte(2)});
    }
  }
  return cloud;
}

}  // namespace flitchwise::scan
