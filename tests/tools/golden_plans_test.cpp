/// What the planner makes of the sample scans is what it made when kPlannerVersion was last raised: the yard
/// keeps plans for as long as that stays the same.

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <iomanip>
#include <map>
#include <sstream>

#include "solver/plan/board_size.hpp"
#include "solver/setup/kit_file.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/job/planner_version.hpp"

namespace flitchwise::testing {
namespace {

constexpr const char* kHowToWrite =
    "write the new hashes with FLITCHWISE_WRITE_GOLDEN=1 .build/release/tests/tools/test_golden_plans";

/// The planner's version and a hash for each plan.
struct Golden {
  int version = 0;
  std::map<std::string, std::string> hashes;
};

/// Numbers to the hundredth of a millimetre (and of what has no length), which no compiler changes.
class Figures {
 public:
  void add(double value) {
    constexpr double kFine = 1e5;
    text_ << (std::isfinite(value) ? std::llround(value * kFine) : 0) << ' ';
  }
  void add(const Eigen::Vector3d& point) {
    for (const double value : point) {
      add(value);
    }
  }
  /// FNV-1a (Fowler, Noll, Vo; 64 bits).
  std::string hash() const {
    std::uint64_t hash = 14695981039346656037U;
    for (const char letter : text_.str()) {
      hash = (hash ^ static_cast<unsigned char>(letter)) * 1099511628211U;
    }
    std::ostringstream text;
    text << std::hex << std::setw(16) << std::setfill('0') << hash;
    return text.str();
  }

 private:
  std::ostringstream text_;
};

void add_marks(const solver::SetupSheet& sheet, Figures& figures) {
  for (const solver::EndMark& mark : {sheet.small_end, sheet.large_end}) {
    figures.add(mark.above_pith_m);
    figures.add(mark.below_top_m);
    figures.add(mark.bracket_above_pith_m);
  }
  for (const solver::Support& support : sheet.supports) {
    figures.add(support.x_m);
    figures.add(support.left.gap_m);
    figures.add(support.right.gap_m);
  }
  for (const solver::Cut& cut : sheet.cuts) {
    figures.add(cut.plane.point_m);
    figures.add(cut.saw_depth_m);
    figures.add(cut.width_m);
  }
}

std::string hash_of(const PlannedLog& planned) {
  Figures figures;
  figures.add(planned.plan.orientation.roll_rad);
  for (const solver::CutPlane& plane : planned.plan.planes) {
    figures.add(plane.point_m);
    figures.add(plane.normal);
  }
  for (const solver::Board& board : planned.plan.boards) {
    for (const Eigen::Vector3d& corner : board.corners_m) {
      figures.add(corner);
    }
  }
  for (const solver::ShortBoard& board : planned.plan.short_boards) {
    for (const Eigen::Vector3d& corner : board.corners_m) {
      figures.add(corner);
    }
  }
  figures.add(planned.plan.margin_m);
  add_marks(planned.sheet, figures);
  return figures.hash();
}

PlanRequest request_for(const std::string& scan, const std::string& board, const std::string& kit) {
  const std::filesystem::path samples = FLITCHWISE_SAMPLES;
  PlanRequest request;
  request.scan.files = {{samples / scan}};
  request.targets = {solver::board_size(board)};
  if (!kit.empty()) {
    request.kit = solver::read_kit(samples / kit);
  }
  request.search.most_nodes = 60;
  request.search.time_limit_s = 3600;  // ends by nodes
  request.advice_time_s = 0;
  return request;
}

Golden planned_now() {
  std::map<std::string, PlanRequest> requests = {
      {"larch", request_for("larch-photo.ply", "50x150x3000", "kit.toml")},
      {"spruce", request_for("spruce-depth.ply", "50x150x3000", "")},
      {"y-up", request_for("larch-y-up.ply", "25x100x2400", "kit-long-rail.toml")}};
  requests["larch"].scan.bark_m = 0.014;
  requests["spruce"].search.short_lengths_m = {2, 1.5};
  requests["y-up"].search.pattern = solver::Pattern::best;
  Golden golden{kPlannerVersion, {}};
  for (const auto& [name, request] : requests) {
    const PlannedLog planned = plan_log(request);
    CAPTURE(name);
    REQUIRE(planned.outcome == PlannedLog::Outcome::done);
    golden.hashes[name] = hash_of(planned);
  }
  return golden;
}

Golden stored() {
  std::ifstream file(FLITCHWISE_GOLDEN_PLANS);
  Golden golden;
  std::string word;
  file >> word >> golden.version;
  for (std::string name; file >> name >> word;) {
    golden.hashes[name] = word;
  }
  return golden;
}

void write(const Golden& golden) {
  std::ofstream file(FLITCHWISE_GOLDEN_PLANS);
  file << "planner " << golden.version << '\n';
  for (const auto& [name, hash] : golden.hashes) {
    file << name << ' ' << hash << '\n';
  }
}

TEST_CASE("no plan changes while the planner's version stays the same") {
  const Golden now = planned_now();
  const Golden before = stored();
  if (before.version == now.version) {
    INFO("a plan has changed: raise kPlannerVersion in tools/job/planner_version.hpp and " << kHowToWrite);
    CHECK(now.hashes == before.hashes);
  } else if (std::getenv("FLITCHWISE_WRITE_GOLDEN") != nullptr) {
    write(now);
  } else {
    FAIL("kPlannerVersion is " << now.version << ", but golden_plans.txt is of " << before.version << ": "
                               << kHowToWrite);
  }
}

}  // namespace
}  // namespace flitchwise::testing
