#pragma once
/// The outer shell of an E57 file (ASTM E2807-11): a header, and pages of 1024 bytes of which the last four
/// are a check sum. Physical offsets count every byte, logical ones leave the check sums out.

#include <cstdint>
#include <limits>
#include <string>

#include "scan/read/mapped_file.hpp"

namespace flitchwise::scan {

class E57Pages {
 public:
  /// Throws InputError if the header is broken or the file is shorter than its header says. Requires: the
  /// file outlives this.
  explicit E57Pages(const MappedFile& file);

  std::uint64_t size() const { return size_; }  ///< logical
  /// Throws InputError if `physical` is no place for data.
  std::uint64_t logical(std::uint64_t physical) const;
  const char* address(std::uint64_t logical) const;

  /// Copies bytes from a logical offset. Throws InputError if they are not all there or if the check sum of
  /// one of their pages does not match.
  void read(std::uint64_t from, std::size_t length, char* to);
  std::string xml();

  [[noreturn]] void fail_broken(const std::string& what) const;

 private:
  void verify(std::uint64_t page);

  const MappedFile& file_;
  std::uint64_t size_ = 0;
  std::uint64_t xml_from_ = 0;
  std::uint64_t xml_length_ = 0;
  std::uint64_t verified_ = std::numeric_limits<std::uint64_t>::max();  // the page checked last
};

}  // namespace flitchwise::scan
