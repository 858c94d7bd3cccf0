#include "scan/read/gather.hpp"

#include <algorithm>
#include <cmath>

#include "scan/read/colour.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/survey.hpp"
#include "scan/read/thinner.hpp"

namespace flitchwise::scan {
namespace {

// Float offsets resolve about 1e-7 of their size. Up to this many extents from zero that is finer than a
// millionth of the scene, so the origin stays zero and float files keep their very numbers.
constexpr double kNearOrigin = 16;

// The finest thinning grid as a share of the scene's extent: 0.1 mm in a scene of 13 m, and a grid of 2^20
// cells either side of the origin then reaches eight extents out.
constexpr double kFinestEdge = 1.0 / 131'072;

Eigen::Vector3d origin_for(const Survey& survey) {
  Eigen::Vector3d origin = Eigen::Vector3d::Zero();
  for (int i = 0; i < 3; ++i) {
    const Axis& axis = survey.axes[static_cast<std::size_t>(i)];
    if (std::abs(axis.median) > kNearOrigin * axis.extent) {
      origin[i] = axis.extent > 0 ? std::round(axis.median) : axis.median;
    }
  }
  return origin;
}

float finest_edge_for(const Survey& survey, const Eigen::Vector3d& origin) {
  double reach = 0;
  for (int i = 0; i < 3; ++i) {
    const Axis& axis = survey.axes[static_cast<std::size_t>(i)];
    reach = std::max({reach, axis.extent, std::abs(axis.median - origin[i])});
  }
  return static_cast<float>(reach > 0 ? reach * kFinestEdge : kFinestEdge);
}

/// Second pass: moves the usable points of a batch into the cloud.
class Filler {
 public:
  Filler(Cloud& cloud, Thinner& thinner, float colour_factor)
      : cloud_(cloud), thinner_(thinner), colour_factor_(colour_factor) {}

  void operator()(const Batch& batch) {
    for (std::size_t i = 0; i < batch.size; ++i) {
      if (!is_usable(batch.x[i], batch.y[i], batch.z[i])) {
        continue;
      }
      const Eigen::Vector3f point =
          (Eigen::Vector3d(batch.x[i], batch.y[i], batch.z[i]) - cloud_.origin).cast<float>();
      if (colour_factor_ > 0) {
        const Colour colour = {to_byte(batch.r[i], colour_factor_), to_byte(batch.g[i], colour_factor_),
                               to_byte(batch.b[i], colour_factor_)};
        thinner_.add(point, &colour);
      } else {
        thinner_.add(point, nullptr);
      }
    }
  }

 private:
  Cloud& cloud_;
  Thinner& thinner_;
  float colour_factor_;
};

void check_count(const std::filesystem::path& file, const Survey& survey, std::size_t fewest) {
  if (survey.finite == 0) {
    fail(file, survey.skipped == 0 ? "holds no points: export the scan again"
                                   : "holds no point with finite coordinates: export the scan again");
  }
  if (survey.finite < fewest) {
    fail(file, "holds only " + grouped(survey.finite) + (survey.finite == 1 ? " point" : " points") +
                   ", too few to show a log: export the whole scan as a point cloud");
  }
}

// The file is passed twice.
void begin_pass(MappedFile& file, int pass, const ReadOptions& options) {
  constexpr double kPasses = 2;
  if (options.on_progress) {
    file.watch([&options, pass](double share) { options.on_progress((pass + share) / kPasses); });
  }
}

}  // namespace

ReadResult gather(MappedFile& file, const PointSource& source, const ReadOptions& options) {
  begin_pass(file, 0, options);
  const Survey found = survey(source);
  check_count(file.path(), found, options.fewest_points);
  ReadResult result;
  const SourceFacts& facts = source.facts();
  result.format = facts.format;
  result.frame = facts.frame;
  result.warnings = facts.warnings;
  result.points_read = found.finite;
  result.points_skipped = found.skipped;
  result.cloud.origin = origin_for(found);
  const float factor =
      colour_factor(facts.colour_kind, found.colour_min, found.colour_max, found.colours_whole);
  const std::size_t room = std::min<std::uint64_t>(found.finite, options.max_points);
  result.cloud.points.reserve(room);
  result.cloud.colours.reserve(factor > 0 ? room : 0);
  Thinner thinner(result.cloud, options.max_points, found.finite,
                  finest_edge_for(found, result.cloud.origin));
  begin_pass(file, 1, options);
  source.visit(Filler(result.cloud, thinner, factor));
  result.grid = thinner.edge();
  return result;
}

}  // namespace flitchwise::scan
