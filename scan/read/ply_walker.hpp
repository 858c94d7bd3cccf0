#pragma once
/// Steps through the binary records of a PLY file.

#include <algorithm>
#include <cstdint>

#include "scan/read/ply_header.hpp"
#include "scan/read/records.hpp"

namespace flitchwise::scan {

/// Steps over binary records, lists included, without ever leaving the file.
class BinaryWalker {
 public:
  BinaryWalker(const char* at, const char* end, bool big_endian)
      : at_(at), end_(end), big_endian_(big_endian) {}

  const char* at() const { return at_; }
  std::size_t left() const { return static_cast<std::size_t>(end_ - at_); }

  /// Steps over a value or list; false if the file ends inside it or a list's length is negative.
  bool step(const PlyProperty& property) {
    if (!property.is_list) {
      return skip(1, size_of(property.type));
    }
    const char* length_at = at_;
    if (!skip(1, size_of(property.count_type))) {
      return false;
    }
    const double length = load(length_at, property.count_type, big_endian_);
    return length >= 0 && length <= static_cast<double>(left()) &&
           skip(static_cast<std::uint64_t>(length), size_of(property.type));
  }

  bool step(const PlyElement& element) {
    if (!element.has_list()) {
      return skip(element.count, element.fixed_size());
    }
    for (std::uint64_t i = 0; i < element.count; ++i) {
      if (!std::all_of(element.properties.begin(), element.properties.end(),
                       [this](const PlyProperty& property) { return step(property); })) {
        return false;
      }
    }
    return true;
  }

 private:
  bool skip(std::uint64_t count, std::size_t size) {
    if (size > 0 && count > left() / size) {
      return false;
    }
    at_ += count * size;
    return true;
  }

  const char* at_;
  const char* end_;
  bool big_endian_;
};

}  // namespace flitchwise::scan
