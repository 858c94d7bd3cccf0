#pragma once
/// What the XML part of an E57 file (ASTM E2807-11, section 8) says about its scans.

#include <Eigen/Geometry>
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "scan/read/e57_pages.hpp"

namespace flitchwise::scan {

/// One field of a record. Its values stand in a byte stream of their own, `bits` each, lowest bit first.
struct E57Field {
  enum class Kind { floating, integer, text };
  Kind kind = Kind::floating;
  unsigned bits = 0;         ///< 0: every value is `minimum`, and none is stored
  std::int64_t minimum = 0;  ///< of an integer: stored as value - minimum
  double scale = 1;          ///< of an integer: what it stands for is value * scale + offset
  double offset = 0;
};

struct E57Range {
  double low = 0;
  double high = 0;
};

struct E57Scan {
  using Three = std::array<std::size_t, 3>;  ///< indices of fields
  std::uint64_t records = 0;
  std::uint64_t section = 0;  ///< physical offset of the binary section
  std::vector<E57Field> fields;
  Three position = {};
  bool spherical = false;              ///< position is range (length), azimuth and elevation (radians)
  std::optional<std::size_t> invalid;  ///< 0: the position is good
  std::optional<Three> colour;
  std::array<E57Range, 3> colour_range;                          ///< from black to full
  Eigen::Quaterniond rotation = Eigen::Quaterniond::Identity();  ///< file_from_scan
  Eigen::Vector3d translation = Eigen::Vector3d::Zero();
};

/// All scans that have points. Throws InputError if the XML is broken or there is none.
std::vector<E57Scan> parse_e57_scans(const E57Pages& pages, const std::string& xml);

}  // namespace flitchwise::scan
