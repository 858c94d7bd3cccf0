#include "solver/search/job.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

namespace flitchwise::solver {
namespace {

constexpr double kPlaceStep_m = 0.025;    // the stations' own spacing: finer places see no new section
constexpr double kMostLoosePlaces = 240;  // of one length: a long log is looked at in coarser steps
// Left at each end where the log is long enough for it: a scan knows where an end's innermost point lies to 5
// mm (from photographs) or to 15 mm (depth sensor), and a board beyond it would be that much too short.
constexpr double kEndFree_m = 0.015;
constexpr double kRounding_m = 1e-9;
constexpr double kWorthUnit = 0.001;        // values that differ by less are the same
constexpr std::size_t kMostLayouts = 40;    // more would not end: a person does not mix so many lengths
constexpr std::size_t kMostEdgings = 4000;  // of one menu; a log gives far fewer

std::size_t add_end(Job& job, double x_m) {
  job.sections.push_back(section_at(job.solid, x_m));
  return job.sections.size() - 1;
}

Place make_place(Job& job, std::size_t length, double low_x_m, double high_x_m) {
  Place place{low_x_m, high_x_m, length, high_x_m - low_x_m - job.lengths_m[length]};
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

/// All ways to put lengths end to end so that no other one fits behind; at most kMostLayouts and one more.
void list_lengths(const Job& job, double free_m, std::vector<std::size_t>& so_far,
                  std::vector<std::vector<std::size_t>>& all) {
  bool full = true;
  for (std::size_t i = job.lengths_m.size(); i-- > 0 && all.size() <= kMostLayouts;) {
    if (job.lengths_m[i] <= free_m + kRounding_m) {
      full = false;
      so_far.push_back(i);
      list_lengths(job, free_m - job.lengths_m[i] - job.options.crosscut_kerf_m, so_far, all);
      so_far.pop_back();
    }
  }
  if (full && !so_far.empty() && all.size() <= kMostLayouts) {
    all.push_back(so_far);
  }
}

/// The places of one layout: windows keep their order and a crosscut kerf; all shift along together.
Layout make_layout(Job& job, const std::vector<std::size_t>& lengths,
                   std::map<std::tuple<std::size_t, double, double>, std::size_t>& known) {
  const double kerf_m = job.options.crosscut_kerf_m;
  double spare_m = job.solid.usable_m + kerf_m;
  for (const std::size_t i : lengths) {
    spare_m -= job.lengths_m[i] + kerf_m;
  }
  spare_m = std::max(0.0, spare_m);
  const auto n = static_cast<double>(lengths.size());
  const double room_m = std::min(job.corner_room_m, spare_m / n);
  const double end_free_m = std::clamp((spare_m - n * room_m) / 2, 0.0, kEndFree_m);
  const double slack_m = std::max(0.0, spare_m - n * room_m - 2 * end_free_m);
  const auto shifts = static_cast<std::size_t>(std::ceil(slack_m / kPlaceStep_m)) + 1;
  Layout layout;
  double start_m = end_free_m;
  for (const std::size_t length : lengths) {
    Window& window = layout.windows.emplace_back();
    window.length = length;
    for (std::size_t shift = 0; shift < shifts; ++shift) {
      const double share = shifts > 1 ? static_cast<double>(shift) / static_cast<double>(shifts - 1) : 0;
      const double low_m = start_m + share * slack_m;
      const double high_m = std::min(low_m + job.lengths_m[length] + room_m, job.solid.usable_m);
      const auto [at, is_new] = known.try_emplace({length, low_m, high_m}, job.places.size());
      if (is_new) {
        job.places.push_back(make_place(job, length, low_m, high_m));
      }
      window.places.push_back(at->second);
    }
    start_m += job.lengths_m[length] + kerf_m + room_m;
  }
  return layout;
}

void list_sizes(Job& job) {
  for (const Target& target : job.targets) {
    job.lengths_m.push_back(target.length_m);
    const double pitch = job.options.most_pitch;
    job.corner_room_m = std::max(job.corner_room_m, target.thickness_m * pitch + target.width_m * kMostYaw);
    if (job.options.pattern != Pattern::live) {
      job.corner_room_m = std::max(job.corner_room_m, target.width_m * pitch + target.thickness_m * kMostYaw);
    }
  }
  std::sort(job.lengths_m.begin(), job.lengths_m.end());
  job.lengths_m.erase(std::unique(job.lengths_m.begin(), job.lengths_m.end()), job.lengths_m.end());
}

void lay_out(Job& job) {
  std::vector<std::vector<std::size_t>> all;
  std::vector<std::size_t> so_far;
  list_lengths(job, job.solid.usable_m, so_far, all);
  if (all.size() > kMostLayouts) {
    job.all_layouts = false;
    all.resize(kMostLayouts);
  }
  std::map<std::tuple<std::size_t, double, double>, std::size_t> known;
  for (const auto& lengths : all) {
    job.layouts.push_back(make_layout(job, lengths, known));
  }
}

std::size_t chamfer_index(Job& job, const Chamfer& chamfer) {
  for (std::size_t i = 0; i < job.chamfers.size(); ++i) {
    if (job.chamfers[i].across_m == chamfer.across_m && job.chamfers[i].up_m == chamfer.up_m) {
      return i;
    }
  }
  job.chamfers.push_back(chamfer);
  return job.chamfers.size() - 1;
}

/// A board as it lies in a layer.
struct Item {
  std::size_t target = 0;
  double across_m = 0;
  Chamfer chamfer;
};

/// Turns a list of items into an edging: those that allow most wane lie outside.
Edging make_edging(Job& job, const LayerKind& kind, std::vector<Item> items) {
  std::stable_sort(items.begin(), items.end(),
                   [](const Item& a, const Item& b) { return a.chamfer.across_m > b.chamfer.across_m; });
  if (items.size() > 2) {
    std::rotate(items.begin() + 1, items.begin() + 2, items.end());
  }
  Edging edging;
  for (const Item& item : items) {
    edging.width_m += item.across_m + (edging.targets.empty() ? 0 : kind.kerf_m);
    edging.widest_m = std::max(edging.widest_m, item.across_m);
    edging.worth += job.worths[item.target];
    edging.targets.push_back(item.target);
  }
  const Chamfer& left = items.front().chamfer;
  const Chamfer& right = items.back().chamfer;
  edging.chamfer =
      chamfer_index(job, {std::min(left.across_m, right.across_m), std::min(left.up_m, right.up_m)});
  return edging;
}

bool beats(const Job& job, const Edging& a, const Edging& b) {
  const Chamfer& ca = job.chamfers[a.chamfer];
  const Chamfer& cb = job.chamfers[b.chamfer];
  return a.worth >= b.worth && a.width_m <= b.width_m + kRounding_m && ca.across_m >= cb.across_m &&
         ca.up_m >= cb.up_m;
}

/// Lowest worth first, then the narrowest last; only what no other one beats.
std::vector<Edging> unbeaten(const Job& job, std::vector<Edging> all) {
  std::stable_sort(all.begin(), all.end(), [](const Edging& a, const Edging& b) {
    return std::tuple(-a.worth, a.width_m, a.targets.size()) <
           std::tuple(-b.worth, b.width_m, b.targets.size());
  });
  std::vector<Edging> kept;
  for (Edging& edging : all) {
    if (std::none_of(kept.begin(), kept.end(), [&](const Edging& k) { return beats(job, k, edging); })) {
      kept.push_back(std::move(edging));
    }
  }
  std::reverse(kept.begin(), kept.end());
  return kept;
}

/// Every worthwhile choice of boards of one length side by side, up to the log's own width.
std::vector<Edging> make_menu(Job& job, const LayerKind& kind, std::size_t length) {
  std::vector<Edging> menu;
  const double most_m = job.solid.largest_width_m + 2 * job.options.tolerance_m;  // the bound's larger log
  std::vector<Item> kinds_of_item;
  for (std::size_t i = 0; i < job.targets.size(); ++i) {
    const Target& target = job.targets[i];
    const bool flat = kind.kind == Flitch::Kind::flat;
    const double up_m = flat ? target.thickness_m : target.width_m;
    if (target.length_m == job.lengths_m[length] && up_m == kind.thickness_m) {
      const double across_m = flat ? target.width_m : target.thickness_m;
      kinds_of_item.push_back({i, across_m, {target.wane_share * across_m, target.wane_share * up_m}});
    }
  }
  const auto items_of = [&](const Edging& edging) {
    std::vector<Item> items;
    for (const std::size_t target : edging.targets) {
      items.push_back(*std::find_if(kinds_of_item.begin(), kinds_of_item.end(),
                                    [&](const Item& item) { return item.target == target; }));
    }
    return items;
  };
  for (const Item& item : kinds_of_item) {
    std::vector<Edging> more = menu;
    std::vector<Edging> base = menu;
    base.emplace_back();
    for (const Edging& start : base) {
      std::vector<Item> items = items_of(start);
      for (;;) {
        items.push_back(item);
        Edging next = make_edging(job, kind, items);
        if (next.width_m > most_m || more.size() > kMostEdgings) {
          break;
        }
        more.push_back(std::move(next));
      }
    }
    menu = unbeaten(job, std::move(more));
  }
  return menu;
}

MenuSteps steps_of(const LayerKind& kind, const std::vector<Edging>& menu) {
  std::vector<const Edging*> by_width;
  MenuSteps steps;
  bool same = true;
  for (const Edging& edging : menu) {
    by_width.push_back(&edging);
    for (const std::size_t target : edging.targets) {
      same = same && target == menu.front().targets.front();
    }
  }
  if (same && !menu.empty()) {
    steps.each_m = menu.front().width_m + kind.kerf_m;
    steps.each = menu.front().worth;
  }
  std::stable_sort(by_width.begin(), by_width.end(),
                   [](const Edging* a, const Edging* b) { return a->width_m < b->width_m; });
  for (const Edging* edging : by_width) {
    if (steps.worth.empty() || edging->worth > steps.worth.back()) {
      steps.width_m.push_back(edging->width_m);
      steps.worth.push_back(edging->worth);
    }
  }
  return steps;
}

void add_kind(Job& job, Flitch::Kind which, double thickness_m) {
  LayerKind kind;
  kind.kind = which;
  kind.thickness_m = thickness_m;
  const bool flat = which == Flitch::Kind::flat;
  kind.kerf_m = flat ? job.options.rip_kerf_m : job.options.kerf_m;
  kind.narrowest_m = job.solid.largest_width_m;
  for (const Target& target : job.targets) {
    if ((flat ? target.thickness_m : target.width_m) == thickness_m) {
      const double across_m = flat ? target.width_m : target.thickness_m;
      kind.narrowest_m = std::min(kind.narrowest_m, across_m);
      kind.widest_m = std::max(kind.widest_m, across_m);
      kind.most_chamfer.across_m = std::max(kind.most_chamfer.across_m, target.wane_share * across_m);
      kind.most_chamfer.up_m = std::max(kind.most_chamfer.up_m, target.wane_share * thickness_m);
      (across_m >= thickness_m ? kind.faces_up : kind.faces_aside) = true;
    }
  }
  for (std::size_t length = 0; length < job.lengths_m.size(); ++length) {
    kind.menus.push_back(make_menu(job, kind, length));
    kind.steps.push_back(steps_of(kind, kind.menus.back()));
  }
  job.kinds.push_back(std::move(kind));
}

void add_kinds(Job& job) {
  std::set<double> thicknesses;
  std::set<double> widths;
  for (const Target& target : job.targets) {
    thicknesses.insert(target.thickness_m);
    widths.insert(target.width_m);
  }
  for (const double thickness_m : thicknesses) {
    add_kind(job, Flitch::Kind::flat, thickness_m);
  }
  if (job.options.pattern != Pattern::live) {
    for (const double width_m : widths) {
      add_kind(job, Flitch::Kind::cant, width_m);
    }
  }
}

/// All but the places along the log and the kinds of layers.
Job prepared(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options) {
  check(targets);
  check(options);
  check(log);
  Job job;
  job.targets = targets;
  job.options = options;
  job.solid = solid_of(log, options.sigmas);
  job.sections = job.solid.stations;
  job.chamfers.emplace_back();
  job.pith_m = log.pith_at(0);
  job.pith_rise = (log.pith_at(job.solid.usable_m) - job.pith_m) / job.solid.usable_m;
  const bool counted = std::all_of(targets.begin(), targets.end(), [&](const Target& target) {
    return target.value == targets.front().value;
  });
  job.worth_unit = counted ? 1 : kWorthUnit;
  for (const Target& target : targets) {
    job.worths.push_back(counted ? 1 : std::llround(target.value / kWorthUnit));
  }
  list_sizes(job);
  return job;
}

}  // namespace

Job make_job(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options) {
  Job job = prepared(log, targets, options);
  lay_out(job);
  if (!job.layouts.empty()) {
    add_kinds(job);
  }
  return job;
}

Job make_loose_job(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options) {
  Job job = prepared(log, targets, options);
  const double step_m = std::max(kPlaceStep_m, job.solid.usable_m / kMostLoosePlaces);
  for (std::size_t length = 0; length < job.lengths_m.size(); ++length) {
    const double long_m = job.lengths_m[length] + job.corner_room_m;
    const double last_m = job.solid.usable_m - long_m;
    for (double low_m = 0; low_m < last_m; low_m += step_m) {
      job.places.push_back(make_place(job, length, low_m, low_m + long_m));
    }
    if (last_m >= 0) {
      job.places.push_back(make_place(job, length, last_m, job.solid.usable_m));
    }
  }
  add_kinds(job);
  return job;
}

}  // namespace flitchwise::solver
