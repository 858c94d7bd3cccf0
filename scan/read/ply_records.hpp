#pragma once
/// The records of a PLY file, ASCII or binary.

#include <vector>

#include "scan/read/cursor.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/ply_header.hpp"

namespace flitchwise::scan {

/// A record's numbers, property by property: one, or as many as its list has.
using PlyValues = std::vector<std::vector<double>>;

/// Hands out the records of one element, lists included, without ever leaving the file.
class PlyRecords {
 public:
  /// Passes over the elements before. The header must outlive this.
  PlyRecords(const MappedFile& file, const PlyHeader& header, std::size_t element);

  /// False once the file has ended inside a record or shown a list of negative length.
  bool is_sound() const { return is_sound_; }
  /// Takes the next record; false as is_sound().
  bool next(PlyValues& values);
  /// Where the next record starts.
  const char* position() const { return is_ascii_ ? lines_.position() : at_; }

 private:
  bool pass(const PlyElement& element);
  bool pass(std::uint64_t count, std::size_t size);
  bool take(const PlyProperty& property, std::vector<double>* values);
  bool take_line(PlyValues& values);

  const PlyElement& element_;
  bool is_ascii_;
  bool big_endian_;
  const char* at_;
  const char* end_;
  LineCursor lines_;
  bool is_sound_;
};

}  // namespace flitchwise::scan
