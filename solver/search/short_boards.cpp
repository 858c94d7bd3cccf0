#include "solver/search/short_boards.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "solver/search/board_shape.hpp"
#include "solver/search/evaluate.hpp"

namespace flitchwise::solver {
namespace {

using Source = ShortBoard::Source;

constexpr double kRounding_m = 1e-9;
constexpr double kLeastValue = 0.001;  // what the solver still tells apart

/// Short sizes as targets of their own, and which of the plan's targets each is cut from.
struct ShortTargets {
  std::vector<Target> targets;
  std::vector<std::size_t> of_plan;
};

ShortTargets short_targets(const SawPlan& plan) {
  ShortTargets shorts;
  for (const double length_m : plan.options.short_lengths_m) {
    for (std::size_t i = 0; i < plan.targets.size(); ++i) {
      const Target& full = plan.targets[i];
      Target target = full;
      target.length_m = length_m;
      target.value = std::max(kLeastValue, full.value * length_m / full.length_m);
      const auto same = std::find_if(shorts.targets.begin(), shorts.targets.end(), [&](const Target& other) {
        return other.thickness_m == target.thickness_m && other.width_m == target.width_m &&
               other.length_m == target.length_m && other.wane_share == target.wane_share;
      });
      if (same == shorts.targets.end()) {
        shorts.targets.push_back(target);
        shorts.of_plan.push_back(i);
      } else {
        same->value = std::max(same->value, target.value);
      }
    }
  }
  return shorts;
}

SearchOptions short_options(const SawPlan& plan) {
  SearchOptions options = plan.options;
  const bool cant = std::any_of(plan.flitches.begin(), plan.flitches.end(),
                                [](const Flitch& flitch) { return flitch.kind == Flitch::Kind::cant; });
  options.pattern = cant ? Pattern::cant : Pattern::live;
  return options;
}

/// The sawn edge of the outermost board of a window, where a strip is left beside it. Bench frame, half way
/// up the flitch.
struct SawnEdge {
  bool left = true;  ///< the strip lies to the left
  double yaw = 0;
  double x_m = 0;  ///< a point of it
  double y_m = 0;
  double middle_x_m = 0;  ///< of the window's boards
  double length_m = 0;    ///< of them
};

class ShortPlanner {
 public:
  ShortPlanner(const LogModel& log, SawPlan& plan)
      : plan_(plan),
        shorts_(short_targets(plan)),
        job_(make_loose_job(log, shorts_.targets, short_options(plan))),
        log_(job_, plan.orientation.roll_rad),
        pitch_(plan.orientation.pitch),
        sec_(std::sqrt(1 + pitch_ * pitch_)) {}

  void run() {
    const double half_kerf_m = job_.options.kerf_m / 2;
    double depth_m = 0;
    jacket(Source::top_jacket, half_kerf_m);
    for (std::size_t i = 0; i < plan_.flitches.size(); ++i) {
      const double thickness_m = plan_.flitches[i].thickness_m;
      if (const LayerKind* kind = kind_like(plan_.flitches[i])) {
        flitch(i, {-depth_m - half_kerf_m - thickness_m, kind});
      }
      depth_m += thickness_m + job_.options.kerf_m;
    }
    jacket(Source::bottom_jacket, -depth_m - half_kerf_m);
  }

 private:
  /// Where a layer's lower face lies above the topmost plane, square to it.
  struct At {
    double low_m = 0;
    const LayerKind* kind = nullptr;
  };
  struct Where {
    Source source = Source::top_jacket;
    std::size_t flitch = 0;
    std::size_t layer = 0;
  };
  struct Extent {
    double low_x_m = 0;
    double high_x_m = 0;
  };

  Slab slab_at(const At& at) const {
    const double low_m = plan_.orientation.height_m + at.low_m * sec_;
    return {low_m, low_m + at.kind->thickness_m * sec_, pitch_};
  }

  const LayerKind* kind_like(const Flitch& flitch) const {
    for (const LayerKind& kind : job_.kinds) {
      if (kind.kind == flitch.kind && std::abs(kind.thickness_m - flitch.thickness_m) < kRounding_m) {
        return &kind;
      }
    }
    return nullptr;
  }

  /// Layers from the sawn face outwards, each of the kind that gives most, until one gives nothing.
  void jacket(Source source, double face_m) {
    const bool top = source == Source::top_jacket;
    for (std::size_t layer = 0;; ++layer) {
      std::vector<Strip> best;
      At best_at;
      for (const LayerKind& kind : job_.kinds) {
        const At at{top ? face_m : face_m - kind.thickness_m, &kind};
        if (kind.kind == Flitch::Kind::flat) {
          std::vector<Strip> strips = chain(at, {0, job_.solid.usable_m});
          if (worth_of(strips) > worth_of(best)) {
            best = std::move(strips);
            best_at = at;
          }
        }
      }
      if (best.empty()) {
        return;
      }
      keep(best, best_at, {source, 0, layer});
      const double away_m = best_at.kind->thickness_m + job_.options.kerf_m;
      face_m += top ? away_m : -away_m;
    }
  }

  void flitch(std::size_t index, const At& at) {
    const Flitch& flitch = plan_.flitches[index];
    if (flitch.boards.empty()) {
      keep(chain(at, {0, job_.solid.usable_m}), at, {Source::flitch, index, 0});
      return;
    }
    Extent taken{std::numeric_limits<double>::infinity(), 0};
    double most_yaw = 0;
    std::vector<std::size_t> windows;
    for (const std::size_t board : flitch.boards) {
      for (const Eigen::Vector3d& corner : plan_.boards[board].corners_m) {
        taken.low_x_m = std::min(taken.low_x_m, corner.x());
        taken.high_x_m = std::max(taken.high_x_m, corner.x());
      }
      const std::size_t window = plan_.boards[board].window;
      most_yaw = std::max(most_yaw, std::abs(flitch.yaw.at(window)));
      if (std::find(windows.begin(), windows.end(), window) == windows.end()) {
        windows.push_back(window);
      }
    }
    // The crosscut beyond the boards is square to them, so that it runs askew over a flitch with yaw.
    const double apart_m = job_.options.crosscut_kerf_m + most_yaw * job_.solid.largest_width_m;
    keep(chain(at, {0, taken.low_x_m - apart_m}), at, {Source::small_end, index, 0});
    for (const std::size_t window : windows) {
      for (const bool left : {true, false}) {
        keep(edge_chain(at, edge_of(flitch, window, left)), at,
             {left ? Source::left_edge : Source::right_edge, index, 0});
      }
    }
    keep(chain(at, {taken.high_x_m + apart_m, job_.solid.usable_m}), at, {Source::large_end, index, 0});
  }

  SawnEdge edge_of(const Flitch& flitch, std::size_t window, bool left) const {
    SawnEdge edge;
    edge.left = left;
    edge.yaw = flitch.yaw.at(window);
    edge.y_m = left ? -std::numeric_limits<double>::infinity() : std::numeric_limits<double>::infinity();
    for (const std::size_t index : flitch.boards) {
      const Board& board = plan_.boards[index];
      if (board.window != window) {
        continue;
      }
      Eigen::Vector3d side = Eigen::Vector3d::Zero();
      Eigen::Vector3d middle = Eigen::Vector3d::Zero();
      for (std::size_t corner = 0; corner < board.corners_m.size(); ++corner) {
        const Eigen::Vector3d bench = to_log(-plan_.orientation.roll_rad, board.corners_m.at(corner));
        const bool on_left = corner % 4 == 0 || corner % 4 == 3;
        side += (on_left == left ? 0.25 : 0) * bench;  // each of its four corners
        middle += bench / static_cast<double>(board.corners_m.size());
      }
      if (left ? side.y() > edge.y_m : side.y() < edge.y_m) {
        edge.x_m = side.x();
        edge.y_m = side.y();
        edge.middle_x_m = middle.x();
        edge.length_m = plan_.targets[board.target].length_m;
      }
    }
    return edge;
  }

  /// Strips in a stretch of a layer that are worth most together, each with its own yaw.
  std::vector<Strip> chain(const At& at, const Extent& range) {
    std::vector<Strip> strips;
    Layer layer(log_, slab_at(at), *at.kind, 0);
    for (std::size_t place = 0; place < job_.places.size(); ++place) {
      const Place& here = job_.places[place];
      if (here.low_x_m >= range.low_x_m && here.high_x_m <= range.high_x_m) {
        strips.push_back(layer.strip_at(place));
      }
    }
    return best_chain(std::move(strips), at);
  }

  /// The same beside the boards of a window, along their edge.
  std::vector<Strip> edge_chain(const At& at, const SawnEdge& edge) {
    std::vector<Strip> strips;
    Layer layer(log_, slab_at(at), *at.kind, 0);
    const double stretch = std::sqrt(1 + edge.yaw * edge.yaw / (sec_ * sec_));
    for (std::size_t place = 0; place < job_.places.size(); ++place) {
      const Place& here = job_.places[place];
      const double off_m = std::abs(here.middle_x_m() - edge.middle_x_m) * sec_ * stretch;
      if (off_m + job_.lengths_m[here.length] / 2 > edge.length_m / 2 + kRounding_m) {
        continue;
      }
      if (const auto strip = edge_strip(layer, *at.kind, edge, place)) {
        strips.push_back(*strip);
      }
    }
    return best_chain(std::move(strips), at);
  }

  /// Lateral room from the sawn edge outwards.
  double room_m(Layer& layer, const SawnEdge& edge, std::size_t place, std::size_t chamfer) const {
    double least_m = std::numeric_limits<double>::infinity();
    holds_along(job_.places[place], [&](std::size_t section) {
      const double edge_y_m = edge.y_m + edge.yaw * (job_.sections[section].x_m - edge.x_m);
      const Interval& free = layer.free_at(section, chamfer);
      const bool inside = free.low <= edge_y_m && edge_y_m <= free.high;
      const double room_m = edge.left ? free.high - edge_y_m : edge_y_m - free.low;
      least_m = std::min(least_m, inside ? room_m : -1);
      return inside;
    });
    return least_m;
  }

  std::optional<Strip> edge_strip(Layer& layer, const LayerKind& kind, const SawnEdge& edge,
                                  std::size_t place) const {
    const double stretch = std::sqrt(1 + edge.yaw * edge.yaw / (sec_ * sec_));
    const double lean_m = std::abs(edge.yaw * pitch_) / sec_ * kind.thickness_m / 2;
    const std::vector<Edging>& menu = kind.menus[job_.places[place].length];
    for (auto edging = menu.rbegin(); edging != menu.rend(); ++edging) {
      const double wanted_m = (kind.kerf_m + edging->width_m) * stretch + lean_m;
      if (wanted_m > room_m(layer, edge, place, edging->chamfer) - kRounding_m) {
        continue;
      }
      const double out_m = (kind.kerf_m + edging->width_m / 2) * stretch;
      const double middle_x_m = job_.places[place].middle_x_m();
      Strip strip;
      strip.worth = edging->worth;
      strip.place = place;
      strip.yaw = edge.yaw;
      strip.middle_y_m = edge.y_m + edge.yaw * (middle_x_m - edge.x_m) + (edge.left ? out_m : -out_m);
      strip.groups[0] = {&*edging, strip.middle_y_m};
      if (keeps_pith_out(layer, strip, wanted_m)) {
        return strip;
      }
    }
    return std::nullopt;
  }

  bool keeps_pith_out(const Layer& layer, const Strip& strip, double width_m) const {
    const Place& place = job_.places[strip.place];
    return job_.options.keep_pith_out_m == 0 || holds_along(place, [&](std::size_t section) {
             const double x_m = job_.sections[section].x_m;
             const double half_m = layer.pith_half_m(x_m);
             const double off_m =
                 log_.pith_m(x_m).x() - strip.middle_y_m - strip.yaw * (x_m - place.middle_x_m());
             return half_m < 0 || std::abs(off_m) >= half_m + width_m / 2;
           });
  }

  bool grain_allows(const At& at, const Strip& strip) const {
    constexpr double kPlay = 1e-9;
    const double most = job_.options.most_grain_slope;
    const LaidLayer layer{plan_.orientation.roll_rad, slab_at(at), at.kind};
    const std::vector<Spot> spots = spots_of(job_, *at.kind, strip);
    return most == 0 || std::all_of(spots.begin(), spots.end(), [&](const Spot& spot) {
             return grain_slope(job_, corners_of(job_, layer, strip, spot)) <= most + kPlay;
           });
  }

  /// Of strips that may overlap along the log those that are worth most together, a crosscut apart.
  std::vector<Strip> best_chain(std::vector<Strip> strips, const At& at) const {
    std::erase_if(strips, [&](const Strip& strip) { return strip.worth == 0 || !grain_allows(at, strip); });
    const auto place = [&](const Strip& strip) -> const Place& { return job_.places[strip.place]; };
    std::stable_sort(strips.begin(), strips.end(),
                     [&](const Strip& a, const Strip& b) { return place(a).high_x_m < place(b).high_x_m; });
    std::vector<Worth> sums(strips.size() + 1, 0);  // of the first so many
    std::vector<std::size_t> before(strips.size(), 0);
    for (std::size_t i = 0; i < strips.size(); ++i) {
      const double free_to_m = place(strips[i]).low_x_m - job_.options.crosscut_kerf_m;
      const auto end =
          std::upper_bound(strips.begin(), strips.begin() + static_cast<std::ptrdiff_t>(i), free_to_m,
                           [&](double x_m, const Strip& strip) { return x_m < place(strip).high_x_m; });
      before[i] = static_cast<std::size_t>(end - strips.begin());
      sums[i + 1] = std::max(sums[i], strips[i].worth + sums[before[i]]);
    }
    std::vector<Strip> chain;
    for (std::size_t i = strips.size(); i > 0;) {
      if (sums[i] == sums[i - 1]) {
        --i;
      } else {
        chain.push_back(strips[i - 1]);
        i = before[i - 1];
      }
    }
    std::reverse(chain.begin(), chain.end());
    return chain;
  }

  void keep(const std::vector<Strip>& strips, const At& at, const Where& where) {
    const LaidLayer layer{plan_.orientation.roll_rad, slab_at(at), at.kind};
    for (const Strip& strip : strips) {
      for (const Spot& spot : spots_of(job_, *at.kind, strip)) {
        ShortBoard board;
        board.id = std::string("s").append(std::to_string(plan_.short_boards.size() + 1));
        board.source = where.source;
        board.flitch = where.flitch;
        board.layer = where.layer;
        board.strip = strips_;
        board.target = shorts_.of_plan[spot.target];
        board.length_m = job_.targets[spot.target].length_m;
        board.corners_m = corners_of(job_, layer, strip, spot);
        board.grain_slope = grain_slope(job_, board.corners_m);
        plan_.short_boards.push_back(std::move(board));
      }
      ++strips_;
    }
  }

  SawPlan& plan_;
  ShortTargets shorts_;
  Job job_;
  RolledLog log_;
  double pitch_;
  double sec_;
  std::size_t strips_ = 0;
};

}  // namespace

void check_short_lengths(const std::vector<Target>& targets, const SearchOptions& options) {
  check(options);
  for (const double length_m : options.short_lengths_m) {
    for (const Target& target : targets) {
      require(
          length_m < target.length_m - kRounding_m,
          "the shorter length " + std::to_string(std::lround(length_m * kMmAMetre)) +
              " mm is not shorter than every board that is wanted; ask for a board of that length instead");
    }
  }
  require(targets.size() * options.short_lengths_m.size() <= kMostTargets,
          "there are too many shorter lengths for so many board sizes: at most " +
              std::to_string(kMostTargets) + " sizes and lengths together");
}

void add_short_boards(const LogModel& log, SawPlan& plan) {
  require(plan.status == SawPlan::Status::ok, "shorter boards are looked for beside a plan with boards");
  check_short_lengths(plan.targets, plan.options);
  plan.short_boards.clear();
  if (!plan.options.short_lengths_m.empty()) {
    ShortPlanner(log, plan).run();
  }
}

}  // namespace flitchwise::solver
