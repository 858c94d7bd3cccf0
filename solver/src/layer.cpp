#include "layer.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "flitchwise/errors.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kPlaceStep_m = 0.025;    // the stations' own spacing: finer places see no new section
constexpr double kYawPrecision_m = 1e-7;  // far below any tolerance, well above rounding
constexpr int kMostCuts = 60;             // cutting planes; 5 to 15 are usual
constexpr double kRounding_m = 1e-9;

std::size_t add_end(Job& job, double x_m) {
  job.sections.push_back(section_at(job.solid, x_m));
  return job.sections.size() - 1;
}

Place make_place(Job& job, double low_x_m, double high_x_m) {
  Place place{low_x_m, high_x_m};
  const auto& stations = job.solid.stations;
  const auto before = [](const Section& s, double x) { return s.x_m <= x; };
  const auto from = std::lower_bound(stations.begin(), stations.end(), low_x_m + kRounding_m, before);
  const auto to = std::lower_bound(from, stations.end(), high_x_m - kRounding_m,
                                   [](const Section& s, double x) { return s.x_m < x; });
  place.first_station = static_cast<std::size_t>(from - stations.begin());
  place.end_station = static_cast<std::size_t>(to - stations.begin());
  place.low_section = add_end(job, low_x_m);
  place.high_section = add_end(job, high_x_m);
  return place;
}

/// Value and slope of the function that best_strip maximises.
struct Tangent {
  double yaw = 0;
  double value = 0;
  double slope = 0;
  double middle = 0;
};

Tangent tangent_at(const FreeRun& run, const StripNeed& need, double yaw) {
  double high = std::numeric_limits<double>::infinity();
  double low = -high;
  std::size_t at_high = 0;
  std::size_t at_low = 0;
  for (std::size_t i = 0; i < run.x_m.size(); ++i) {
    const double lean = run.x_m[i] * yaw;
    if (run.high_m[i] - lean < high) {
      high = run.high_m[i] - lean;
      at_high = i;
    }
    if (run.low_m[i] - lean > low) {
      low = run.low_m[i] - lean;
      at_low = i;
    }
  }
  const double stretch = std::sqrt(1 + need.cos2_pitch * yaw * yaw);
  const double sign = yaw > 0 ? 1.0 : (yaw < 0 ? -1.0 : 0.0);
  Tangent tangent;
  tangent.yaw = yaw;
  tangent.value = high - low - need.shear * std::abs(yaw) - need.width_m * stretch;
  tangent.slope =
      run.x_m[at_low] - run.x_m[at_high] - need.shear * sign - need.width_m * need.cos2_pitch * yaw / stretch;
  tangent.middle = (high + low) / 2;
  return tangent;
}

}  // namespace

Job make_job(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options) {
  check(targets);
  check(options);
  require(targets.size() == 1 && options.pattern == Pattern::live,
          "several board sizes and cants cannot be planned yet");
  require(options.roll_only_rad.empty() && options.keep_pith_out_m == 0 && options.most_grain_slope == 0 &&
              targets.front().wane_share == 0,
          "chosen rolls, limits on pith and grain, and wane cannot be planned yet");
  const Target& target = targets.front();
  const std::string error = log.find_error();
  require(error.empty(), error);
  Job job;
  job.target = target;
  job.options = options;
  job.solid = solid_of(log, options.sigmas);
  job.sections = job.solid.stations;
  const double pitch_m = target.length_m + options.crosscut_kerf_m;
  job.windows = static_cast<std::size_t>(
      std::max(0.0, std::floor((job.solid.usable_m + options.crosscut_kerf_m + kRounding_m) / pitch_m)));
  if (job.windows == 0) {
    return job;
  }
  const auto n = static_cast<double>(job.windows);
  const double spare_m = std::max(0.0, job.solid.usable_m + options.crosscut_kerf_m - n * pitch_m);
  const double wanted_m = target.thickness_m * options.most_pitch + target.width_m * kMostYaw;
  job.corner_room_m = std::min(wanted_m, spare_m / n);
  const double slack_m = std::max(0.0, spare_m - n * job.corner_room_m);
  const auto shifts = static_cast<std::size_t>(std::ceil(slack_m / kPlaceStep_m)) + 1;
  for (std::size_t window = 0; window < job.windows; ++window) {
    auto& places = job.places.emplace_back();
    for (std::size_t shift = 0; shift < shifts; ++shift) {
      const double share = shifts > 1 ? static_cast<double>(shift) / static_cast<double>(shifts - 1) : 0;
      const double low_m = static_cast<double>(window) * (pitch_m + job.corner_room_m) + share * slack_m;
      const double high_m = std::min(low_m + target.length_m + job.corner_room_m, job.solid.usable_m);
      places.push_back(make_place(job, low_m, high_m));
    }
  }
  return job;
}

RolledLog::RolledLog(const Job& job, double roll_rad)
    : job_(&job), roll_rad_(roll_rad), sections_(job.sections.size()), turned_(job.sections.size(), 0) {}

const RolledSection& RolledLog::section(std::size_t i) {
  if (turned_[i] == 0) {
    sections_[i] = RolledSection(job_->sections[i], roll_rad_);
    turned_[i] = 1;
  }
  return sections_[i];
}

Strip best_strip(const FreeRun& run, const StripNeed& need) {
  Tangent best = tangent_at(run, need, 0);
  if (need.most_yaw > 0) {
    Tangent left = tangent_at(run, need, -need.most_yaw);
    Tangent right = tangent_at(run, need, need.most_yaw);
    const auto keep = [&](const Tangent& t) {
      if (t.value > best.value) {
        best = t;
      }
    };
    keep(left);
    keep(right);
    for (int i = 0; i < kMostCuts && left.slope > 0 && right.slope < 0; ++i) {
      const double yaw = (right.value - left.value + left.slope * left.yaw - right.slope * right.yaw) /
                         (left.slope - right.slope);
      const double bound = left.value + left.slope * (yaw - left.yaw);
      if (bound - best.value < kYawPrecision_m || yaw <= left.yaw || yaw >= right.yaw) {
        break;
      }
      const Tangent middle = tangent_at(run, need, yaw);
      keep(middle);
      (middle.slope > 0 ? left : right) = middle;
    }
  }
  Strip strip;
  strip.yaw = best.yaw;
  strip.middle_y_m = best.middle;
  strip.spare_m = best.value;
  return strip;
}

Layer::Layer(RolledLog& log, const Slab& slab, double grown_m)
    : log_(&log),
      slab_(slab),
      grown_m_(grown_m),
      free_(log.job().sections.size()),
      known_(log.job().sections.size(), 0) {}

const Interval& Layer::free_at(std::size_t section) {
  if (known_[section] == 0) {
    const double stretch = std::sqrt(1 + slab_.pitch * slab_.pitch);  // a level cut through a tilted layer
    const double rise = slab_.pitch * (log_->job().sections[section].x_m - log_->job().solid.pivot_x_m);
    free_[section] = log_->section(section).free_over(slab_.low_m + rise - grown_m_ * stretch,
                                                      slab_.high_m + rise + grown_m_ * stretch);
    known_[section] = 1;
  }
  return free_[section];
}

bool Layer::run_of(const Place& place, double least_m, FreeRun& run) {
  const double middle_x_m = (place.low_x_m + place.high_x_m) / 2;
  const auto add = [&](std::size_t section) {
    const Interval& free = free_at(section);
    if (free.width() < least_m) {
      return false;
    }
    run.x_m.push_back(log_->job().sections[section].x_m - middle_x_m);
    run.low_m.push_back(free.low);
    run.high_m.push_back(free.high);
    return true;
  };
  // The ends first: the small end most often rules a layer out.
  if (!add(place.low_section) || !add(place.high_section)) {
    return false;
  }
  for (std::size_t i = place.first_station; i < place.end_station; ++i) {
    if (!add(i)) {
      return false;
    }
  }
  return true;
}

StripNeed Layer::need_of(double width_m) const {
  const Job& job = log_->job();
  const double sec = std::sqrt(1 + slab_.pitch * slab_.pitch);
  const double sin = std::abs(slab_.pitch) / sec;
  // x extent of a board: (l cos(pitch) cos(yaw) + w sin(yaw) + t sin(pitch)); it must not leave its place.
  const double room_m =
      job.target.length_m * (1 - 1 / sec) + job.corner_room_m - job.target.thickness_m * sin;
  StripNeed need;
  need.width_m = width_m;
  need.shear = sin * (job.target.thickness_m + 2 * grown_m_);
  need.cos2_pitch = 1 / (sec * sec);
  need.most_yaw = room_m < -kRounding_m ? -1 : std::clamp(room_m / job.target.width_m, 0.0, kMostYaw);
  return need;
}

double Layer::widest_at(std::size_t window, std::size_t shift) {
  FreeRun run;
  const StripNeed need = need_of(0);
  if (need.most_yaw < 0 || !run_of(log_->job().places[window][shift], 0, run)) {
    return -1;
  }
  return best_strip(run, need).spare_m;
}

Strip Layer::strip_at(std::size_t window, std::size_t shift) {
  FreeRun run;
  const Job& job = log_->job();
  Strip none;
  none.shift = shift;
  const StripNeed plain = need_of(0);
  if (plain.most_yaw < 0 ||
      !run_of(job.places[window][shift], std::max(0.0, job.target.width_m + 2 * grown_m_), run)) {
    return none;
  }
  const double spacing_m = job.target.width_m + job.options.rip_kerf_m;
  const double width_m = best_strip(run, plain).spare_m - 2 * grown_m_;
  const int most = static_cast<int>(std::floor((width_m + job.options.rip_kerf_m + kRounding_m) / spacing_m));
  for (int boards = most; boards > 0; --boards) {
    const double needed_m = boards * spacing_m - job.options.rip_kerf_m + 2 * grown_m_;
    Strip strip = best_strip(run, need_of(needed_m));
    if (strip.spare_m >= -kRounding_m) {
      strip.boards = boards;
      strip.shift = shift;
      return strip;
    }
  }
  return none;
}

std::vector<Strip> Layer::best_strips() {
  const std::size_t shifts = log_->job().places.front().size();
  struct Row {
    int boards = 0;
    double spare_m = std::numeric_limits<double>::infinity();
    std::vector<Strip> strips;
  };
  const auto better = [](const Row& a, const Row& b) {
    return a.boards > b.boards || (a.boards == b.boards && a.spare_m > b.spare_m);
  };
  // chosen[i]: best row so far whose last window is shifted by at most i. Windows keep their order along the
  // log.
  std::vector<Row> chosen(shifts);
  for (std::size_t window = 0; window < log_->job().windows; ++window) {
    for (std::size_t i = 0; i < shifts; ++i) {
      Row& row = chosen[i];
      const Strip strip = strip_at(window, i);
      row.boards += strip.boards;
      row.spare_m = strip.boards > 0 ? std::min(row.spare_m, strip.spare_m) : row.spare_m;
      row.strips.push_back(strip);
    }
    for (std::size_t i = 1; i < shifts; ++i) {
      if (!better(chosen[i], chosen[i - 1])) {
        chosen[i] = chosen[i - 1];
      }
    }
  }
  return chosen.back().strips;
}

}  // namespace flitchwise::solver
