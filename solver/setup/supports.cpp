#include "solver/setup/supports.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scan/model/units.hpp"

namespace flitchwise::solver {
namespace {

/// Amounts below this are rounding.
constexpr double kRounding_m = 1e-9;
/// What one more place to work on costs against its amount: setting a block or cutting bark with an axe takes
/// about as long as the amount itself, and a rail with fewer of them is trued sooner.
constexpr double kPlace_m = 0.020;

bool is_work(ScrewPoint::Status status) {
  return status == ScrewPoint::Status::packer || status == ScrewPoint::Status::relieve;
}

/// Work on one screw; a screw that only this height leaves without wood counts as cut away altogether.
double screw_work_m(const ScrewSite& site, double rail_height_m, const Kit& kit) {
  if (!site.has_wood) {
    return 0;  // whatever the height
  }
  const ScrewPoint screw = screw_at(site, rail_height_m, kit);
  if (screw.status == ScrewPoint::Status::no_bearing) {
    return kPlace_m + site.bark->height_m;
  }
  return is_work(screw.status) ? kPlace_m + screw.amount_m : 0;
}

/// The support of the rail position before that stood within a hand's play of this one; 0 if none did.
int same_place(const std::vector<SupportSite>& sites, const SupportSite& here) {
  constexpr double kSamePlace_m = 0.01;  // its packer and its cut bark serve again
  for (const SupportSite& site : sites) {
    if (site.rail_position == here.rail_position - 1 && std::abs(site.x_m - here.x_m) <= kSamePlace_m) {
      return site.support;
    }
  }
  return 0;
}

/// The work changes its course only at these heights, so the best height is one of them.
std::vector<double> candidate_heights(const std::vector<SupportSite>& sites,
                                      const std::vector<FootprintPeak>& peaks, const Kit& kit, double least_m,
                                      double most_m) {
  std::vector<double> heights{least_m, most_m};
  for (const SupportSite& site : sites) {
    for (const ScrewSite* screw : {&site.left, &site.right}) {
      if (screw->has_wood) {
        heights.push_back(screw->bark->height_m + kit.screw_reach_min_m - kit.screw_bite_m);
        heights.push_back(screw->bark->height_m + kit.screw_reach_max_m - kit.screw_bite_m);
      }
    }
  }
  for (const FootprintPeak& peak : peaks) {
    heights.push_back(peak.height_m + kit.bark_clearance_m);
  }
  for (double& height : heights) {
    height = std::clamp(height, least_m, most_m);
  }
  std::sort(heights.begin(), heights.end());
  heights.erase(std::unique(heights.begin(), heights.end()), heights.end());
  return heights;
}

}  // namespace

double needed_wood_m(const Kit& kit) {
  return std::max(kit.screw_bite_m, kit.wood_screw_bite_m) + kit.screw_to_cut_m;
}

ScrewSite screw_site(double y_m, const Kit& kit, const BarkAt& bark_at) {
  const double radius_m = kit.screw_diameter_m / 2;
  const auto wood_m = [](const auto& bark) { return bark ? std::max(bark->height_m, 0.0) : 0.0; };
  ScrewSite site;
  site.y_m = y_m;
  site.bark = bark_at(y_m);
  site.wood_m =
      std::min({wood_m(site.bark), wood_m(bark_at(y_m + radius_m)), wood_m(bark_at(y_m - radius_m))});
  site.has_wood = site.bark && site.wood_m >= kit.screw_bite_m + kit.screw_to_cut_m;
  return site;
}

std::vector<SupportSite> sites_along(const Kit& kit, const std::vector<RailPosition>& positions,
                                     double cosine, std::pair<double, double> ends_x_m,
                                     const ScrewAt& screw_at) {
  std::vector<SupportSite> sites;
  for (std::size_t p = 0; p < positions.size(); ++p) {
    for (std::size_t s = 0; s < kit.support_positions_m.size(); ++s) {
      SupportSite site;
      site.rail_position = static_cast<int>(p) + 1;
      site.support = static_cast<int>(s) + 1;
      site.x_m = positions[p].start_x_m + kit.support_positions_m[s] * cosine;
      site.on_log = site.x_m >= ends_x_m.first && site.x_m <= ends_x_m.second;
      site.left = screw_at(site, kit.screw_spacing_m / 2);
      site.right = screw_at(site, -kit.screw_spacing_m / 2);
      sites.push_back(site);
    }
  }
  return sites;
}

std::vector<SupportSite> support_sites(const BenchLog& log, const LevelPlane& plane, const Kit& kit,
                                       const std::vector<RailPosition>& positions, double rail_y_m) {
  const auto screw_at = [&](const SupportSite& site, double left_m) {
    return screw_site(rail_y_m + left_m, kit, [&](double y_m) {
      return site.on_log ? log.bark_above(plane, site.x_m, y_m) : std::nullopt;
    });
  };
  return sites_along(kit, positions, plane.cosine, {0, log.usable_length_m()}, screw_at);
}

std::vector<FootprintPeak> footprint_peaks(const BenchLog& log, const LevelPlane& plane, const Kit& kit,
                                           const std::vector<SupportSite>& sites, double rail_y_m) {
  std::vector<FootprintPeak> peaks;
  const auto add = [&](const BenchSection& section, double half_m, double thickness_m) {
    if (const auto top = highest_between(section, rail_y_m - half_m, rail_y_m + half_m)) {
      peaks.push_back({section.x_m, top->y_m, plane.distance(section.x_m, top->z_m) + thickness_m});
    }
  };
  for (const BenchSection& section : log.outermost_sections()) {
    add(section, kit.rail_width_m / 2, 0);
  }
  for (const SupportSite& site : sites) {
    if (kit.support_thickness_m > 0 && site.on_log) {
      for (const double edge : {-0.5, 0.0, 0.5}) {
        BenchSection section = log.outermost_at(site.x_m + edge * kit.support_width_m);
        add(section, std::max(kit.rail_width_m, kit.screw_spacing_m) / 2, kit.support_thickness_m);
      }
    }
  }
  for (const BenchLog::KnotTop& knot : log.knot_tops()) {
    const bool under = std::abs(knot.point_m.y() - rail_y_m) <= (kit.rail_width_m + knot.extent_m) / 2;
    const double height_m = plane.distance(knot.point_m.x(), knot.point_m.z());
    if (under && height_m > 0) {
      peaks.push_back({knot.point_m.x(), knot.point_m.y(), height_m});
    }
  }
  std::stable_sort(peaks.begin(), peaks.end(),
                   [](const FootprintPeak& a, const FootprintPeak& b) { return a.x_m < b.x_m; });
  return peaks;
}

std::vector<ScrewFault> screw_faults_at(const std::vector<SupportSite>& sites, const Kit& kit) {
  std::vector<ScrewFault> faults;
  const double bite_m = std::max(kit.screw_bite_m, kit.wood_screw_bite_m);
  for (const SupportSite& site : sites) {
    for (const ScrewSite* screw : {&site.left, &site.right}) {
      // Where the bark itself lies below the cut there is nothing to screw into.
      if (!site.on_log || screw->wood_m <= 0) {
        continue;
      }
      const double tip_m = screw->wood_m - bite_m;
      if (tip_m < kit.screw_to_cut_m - kRounding_m) {
        faults.push_back({site.rail_position, site.support, screw == &site.left, tip_m,
                          std::max(screw->wood_m - kit.screw_to_cut_m, 0.0)});
      }
    }
  }
  return faults;
}

ScrewPoint screw_at(const ScrewSite& site, double rail_height_m, const Kit& kit) {
  ScrewPoint screw;
  screw.y_m = site.y_m;
  screw.gap_m = std::numeric_limits<double>::quiet_NaN();
  screw.status = ScrewPoint::Status::no_bearing;
  screw.seen = site.bark && site.bark->seen;
  if (!site.has_wood) {
    return screw;
  }
  const double gap_m = rail_height_m - site.bark->height_m;
  const double reach_m = gap_m + kit.screw_bite_m;
  if (reach_m > kit.screw_reach_max_m + kRounding_m) {
    screw.status = ScrewPoint::Status::packer;
    screw.amount_m = reach_m - kit.screw_reach_max_m;
  } else if (reach_m >= kit.screw_reach_min_m - kRounding_m) {
    screw.status = ScrewPoint::Status::ok;
  } else if (rail_height_m - kit.screw_reach_min_m >= kit.screw_to_cut_m - kRounding_m) {
    screw.status = ScrewPoint::Status::relieve;
    screw.amount_m = kit.screw_reach_min_m - reach_m;
  } else {
    return screw;  // even all the way in, the tip would come too near to the cut
  }
  screw.gap_m = gap_m;
  return screw;
}

std::vector<Support> supports_at(const std::vector<SupportSite>& sites, double rail_height_m,
                                 const Kit& kit) {
  std::vector<Support> supports;
  supports.reserve(sites.size());
  for (const SupportSite& site : sites) {
    Support support;
    support.rail_position = site.rail_position;
    support.support = site.support;
    support.x_m = site.x_m;
    support.left = screw_at(site.left, rail_height_m, kit);
    support.right = screw_at(site.right, rail_height_m, kit);
    support.same_place_as = same_place(sites, site);
    supports.push_back(support);
  }
  return supports;
}

std::vector<HighSpot> high_spots_at(const std::vector<FootprintPeak>& peaks, double rail_height_m,
                                    const Kit& kit) {
  constexpr double kApart_m = 0.1;  // nearer ones are cleared in one go
  std::vector<HighSpot> spots;
  for (const FootprintPeak& peak : peaks) {
    const double cut_away_m = peak.height_m + kit.bark_clearance_m - rail_height_m;
    if (cut_away_m <= kRounding_m) {
      continue;
    }
    if (spots.empty() || peak.x_m - spots.back().to_x_m > kApart_m) {
      spots.push_back({peak.x_m, peak.y_m, cut_away_m, peak.x_m, peak.x_m});
    } else if (cut_away_m > spots.back().cut_away_m) {
      spots.back() = {peak.x_m, peak.y_m, cut_away_m, spots.back().from_x_m, peak.x_m};
    }
    spots.back().to_x_m = peak.x_m;
  }
  return spots;
}

int places_of(const HighSpot& spot) {
  constexpr double kPlaceLength_m = 0.2;  // what an axe clears without a step aside
  return 1 + static_cast<int>((spot.to_x_m - spot.from_x_m) / kPlaceLength_m);
}

double rail_work_m(const std::vector<SupportSite>& sites, const std::vector<FootprintPeak>& peaks,
                   const Kit& kit, double rail_height_m) {
  double work = 0;
  for (const SupportSite& site : sites) {
    work += screw_work_m(site.left, rail_height_m, kit) + screw_work_m(site.right, rail_height_m, kit);
  }
  for (const HighSpot& spot : high_spots_at(peaks, rail_height_m, kit)) {
    work += places_of(spot) * (kPlace_m + spot.cut_away_m);
  }
  return work;
}

RailHeight choose_rail_height(const std::vector<SupportSite>& sites, const std::vector<FootprintPeak>& peaks,
                              const Kit& kit, double least_m, double most_m) {
  RailHeight best{least_m, std::numeric_limits<double>::infinity()};
  for (const double height_m : candidate_heights(sites, peaks, kit, least_m, most_m)) {
    const double work = rail_work_m(sites, peaks, kit, height_m);
    if (work < best.work_m - kRounding_m) {  // the lowest of equals: heights ascend
      best = {height_m, work};
    }
  }
  return best;
}

}  // namespace flitchwise::solver
