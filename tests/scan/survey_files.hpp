#pragma once
/// LAS and E57 files made byte by byte, from the formats' open specifications and with no code of the
/// readers.

#include <Eigen/Geometry>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "tests/scan/read_support.hpp"

namespace flitchwise::scan::test {

struct LasFile {
  unsigned minor = 2;   ///< of version 1.x
  unsigned format = 2;  ///< of the points
  std::size_t points = 1500;
  double scale = 1.0 / 1024;  ///< exact, as sample_point()
  Eigen::Vector3d offset = Eigen::Vector3d::Zero();
  Eigen::Vector3d corner = Eigen::Vector3d::Zero();  ///< added to every point
  unsigned colour_factor = 257;                      ///< from 8 bits to 16
  std::size_t extra_bytes = 0;                       ///< behind every point
  std::size_t records_before = 0;                    ///< bytes of variable length records
  std::size_t withheld_every = 0;                    ///< n: every n-th point is marked as deleted
  bool fill_legacy_count = true;
  bool fill_long_count = true;
};

/// sample_point(0), sample_point(1), ... as LAS.
std::string las_bytes(const LasFile& file);

/// One field of an E57 record.
struct E57Column {
  enum class Type { single, real, integer, scaled };
  std::string name;
  Type type = Type::single;
  std::int64_t minimum = 0;  ///< of the integers
  std::int64_t maximum = 0;
  double scale = 1;
  double offset = 0;
  std::function<double(std::size_t record)> value;
};

struct E57Part {
  std::size_t records = 1500;
  std::vector<E57Column> columns;
  std::string pose;           ///< XML, or none
  std::string colour_limits;  ///< XML, or none
};

/// The position of sample_point() as three columns of this type, and its colour as bytes.
std::vector<E57Column> e57_position(E57Column::Type type);
std::vector<E57Column> e57_colour();

/// A file of several scans. Every field's values are cut into packets at places of their own, and packets
/// that are to be ignored stand between.
std::string e57_bytes(const std::vector<E57Part>& parts);
/// Writes the check sums of all pages again, after something was changed.
std::string with_check_sums(std::string bytes);
/// CRC-32C bit by bit.
std::uint32_t castagnoli(std::string_view bytes);

}  // namespace flitchwise::scan::test
