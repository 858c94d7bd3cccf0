#pragma once
/// A kit from a TOML file.

#include <filesystem>

#include "solver/setup/kit.hpp"

namespace flitchwise::solver {

/// Reads and checks a kit file: TOML, every key required unless marked, units in the keys' names. Throws
/// InputError with file, line and key if the file cannot be read, a key is missing, unknown (the nearest
/// known key is named), of the wrong type or out of its range.
///
///     name = "two-piece ladder rail"
///     [rail]      length_mm, width_mm, height_mm, weight_kg, least_overlap_mm, and the stiffness: either
///                 ei_n_m2, or a hollow rectangle by section_width_mm, section_height_mm, section_wall_mm and
///                 modulus_gpa
///     [supports]  positions_mm = [100, 700, ...]   from the rail's small-end end; and if wanted
///                 thickness_mm, width_mm
///     [screws]    spacing_mm, reach_min_mm, bite_mm, to_cut_mm, and reach_max_mm or, with
///                 supports.thickness_mm, length_below_support_mm; and if wanted diameter_mm,
///                 wood_screw_bite_mm
///     [saw]       weight_kg, usable_bar_mm, depth_min_mm, depth_max_mm, kerf_mm; and if wanted
///                 opening_deeper_mm
///     [limits]    bark_clearance_mm, sag_mm
///     [brackets]  (if wanted) width_mm, height_mm
///     [truing]    (if wanted) method = "string" or "straightedge", gauge_mm; with a string height_mm, and
///                 if wanted weight_g_m with tension_n
Kit read_kit(const std::filesystem::path& file);

}  // namespace flitchwise::solver
