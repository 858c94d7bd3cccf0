#include "scan/read/ply_records.hpp"

#include <algorithm>
#include <string_view>

#include "scan/read/records.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {

PlyRecords::PlyRecords(const MappedFile& file, const PlyHeader& header, std::size_t element)
    : element_(header.elements[element]),
      is_ascii_(header.encoding == PlyHeader::Encoding::ascii),
      big_endian_(header.encoding == PlyHeader::Encoding::big_endian),
      at_(header.data),
      end_(file.bytes().data() + file.bytes().size()),
      lines_({at_, static_cast<std::size_t>(end_ - at_)}),
      is_sound_(std::all_of(header.elements.begin(),
                            header.elements.begin() + static_cast<std::ptrdiff_t>(element),
                            [this](const PlyElement& before) { return pass(before); })) {}

bool PlyRecords::pass(const PlyElement& element) {
  if (!is_ascii_ && !element.has_list()) {
    return pass(element.count, element.fixed_size());
  }
  std::string_view line;
  for (std::uint64_t i = 0; i < element.count; ++i) {
    if (is_ascii_ ? !lines_.next(line)
                  : !std::all_of(element.properties.begin(), element.properties.end(),
                                 [this](const PlyProperty& property) { return take(property, nullptr); })) {
      return false;
    }
  }
  return true;
}

bool PlyRecords::pass(std::uint64_t count, std::size_t size) {
  if (size > 0 && count > static_cast<std::size_t>(end_ - at_) / size) {
    return false;
  }
  at_ += count * size;
  return true;
}

/// A binary value or list; passes over it if `values` is null.
bool PlyRecords::take(const PlyProperty& property, std::vector<double>* values) {
  double count = 1;
  if (property.is_list) {
    const char* const count_at = at_;
    if (!pass(1, size_of(property.count_type))) {
      return false;
    }
    count = load(count_at, property.count_type, big_endian_);
  }
  const char* const from = at_;
  const std::size_t size = size_of(property.type);
  if (!(count >= 0 && count <= static_cast<double>(end_ - at_)) ||
      !pass(static_cast<std::uint64_t>(count), size)) {
    return false;
  }
  if (values != nullptr) {
    values->resize(static_cast<std::size_t>(count));
    for (std::size_t i = 0; i < values->size(); ++i) {
      (*values)[i] = load(from + i * size, property.type, big_endian_);
    }
  }
  return true;
}

bool PlyRecords::take_line(PlyValues& values) {
  std::string_view line;
  if (!lines_.next(line)) {
    return false;
  }
  for (std::size_t p = 0; p < values.size(); ++p) {
    double count = 1;
    if (element_.properties[p].is_list && !(take_number(line, ' ', count) && count >= 0)) {
      return false;
    }
    values[p].clear();
    for (double number = 0; static_cast<double>(values[p].size()) < count; values[p].push_back(number)) {
      if (!take_number(line, ' ', number)) {
        return false;
      }
    }
  }
  return true;
}

bool PlyRecords::next(PlyValues& values) {
  values.resize(element_.properties.size());
  if (is_ascii_) {
    is_sound_ = is_sound_ && take_line(values);
  }
  for (std::size_t p = 0; !is_ascii_ && is_sound_ && p < values.size(); ++p) {
    is_sound_ = take(element_.properties[p], &values[p]);
  }
  return is_sound_;
}

}  // namespace flitchwise::scan
