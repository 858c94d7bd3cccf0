#pragma once
/// The person's own equipment: rail, supports, screws, saw.

#include <span>
#include <string>
#include <vector>

#include "scan/model/fields.hpp"

namespace flitchwise::solver {

struct Kit {
  std::string name;  ///< for people; empty: the plain kit
  // rail
  double rail_length_m = 0;
  double rail_width_m = 0;   ///< footprint across the log
  double rail_height_m = 0;  ///< underside to the face that the saw rides on
  double rail_weight_kg = 0;
  double rail_ei_n_m2 = 0;     ///< bending stiffness about the level axis
  double least_overlap_m = 0;  ///< of a moved rail with the stretch that it covered before
  // supports, one crosspiece each, with a levelling screw left and right
  std::vector<double> support_positions_m;  ///< from the rail's small-end end, ascending
  double support_thickness_m =
      0;  ///< how far a support stands out below the rail's underside; 0: it lies within the rail
  double support_width_m = 0;    ///< of a support along the rail
  double screw_spacing_m = 0;    ///< between the left and the right screw of a support
  double screw_reach_min_m = 0;  ///< rail underside to screw tip, screw all the way in
  double screw_reach_max_m = 0;  ///< the same, screw all the way out
  double screw_bite_m = 0;       ///< how deep a screw tip goes into bark and wood
  double screw_to_cut_m = 0;     ///< least distance kept between a screw tip and a cut plane
  double screw_diameter_m = 0;   ///< of the levelling screw: it wants wood under its whole width; 0: a point
  double wood_screw_bite_m =
      0;  ///< how deep the wood screw that holds a support goes below the bark; 0: none
  // end brackets, whose upper edge is the rail's underside
  double bracket_width_m = 0;   ///< across the end face; 0: none
  double bracket_height_m = 0;  ///< from its upper to its lower edge
  // saw
  double saw_weight_kg = 0;
  double saw_usable_bar_m = 0;  ///< widest cut
  double saw_depth_min_m = 0;   ///< from the face that it rides on to the middle of the kerf
  double saw_depth_max_m = 0;
  double kerf_m = 0;
  double opening_deeper_m = 0;  ///< the opening cut is set this much deeper than the normal one; 0: as needed
  // how the supports are brought into one plane
  enum class Truing { none, string, straightedge };
  Truing truing = Truing::none;
  double string_height_m = 0;  ///< of the string at both ends above the rail plane (the rail's underside)
  double gauge_m =
      0;  ///< thickness of the gauge that just goes between block and string, or under the straightedge
  double string_kg_m = 0;       ///< weight of the string a metre
  double string_tension_n = 0;  ///< pull of the string; 0: its sag is not known
  // limits
  double bark_clearance_m = 0;  ///< least gap between the rail's underside and the bark under it
  double most_sag_m = 0;        ///< of the rail between two supports
};
FLITCHWISE_FIELDS(Kit, name, rail_length_m, rail_width_m, rail_height_m, rail_weight_kg, rail_ei_n_m2,
                  least_overlap_m, support_positions_m, support_thickness_m, support_width_m, screw_spacing_m,
                  screw_reach_min_m, screw_reach_max_m, screw_bite_m, screw_to_cut_m, screw_diameter_m,
                  wood_screw_bite_m, bracket_width_m, bracket_height_m, saw_weight_kg, saw_usable_bar_m,
                  saw_depth_min_m, saw_depth_max_m, kerf_m, opening_deeper_m, truing, string_height_m,
                  gauge_m, string_kg_m, string_tension_n, bark_clearance_m, most_sag_m)

/// A plain kit for a person who gave none.
Kit plain_kit();

/// Empty if the kit is consistent; else one sentence that names key, value and constraint.
std::string find_error(const Kit& kit);

/// One number of a kit file.
struct KitKey {
  const char* table;
  const char* name;
  double Kit::*member;
  double unit;   ///< of the file, in the member's unit
  double least;  ///< in the file's unit
  double most;
  bool required = true;  ///< if not, 0 stands for a key that is not there
};

std::span<const KitKey> kit_keys();

/// What is wrong with a kit, and at which key ("screws.reach_max_mm"); both empty if nothing is.
struct KitFault {
  std::string key;
  std::string text;
};
KitFault find_fault(const Kit& kit);

/// Six significant digits without trailing zeros.
std::string number_text(double value);

}  // namespace flitchwise::solver
