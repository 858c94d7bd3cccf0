#include "scan/read/cursor.hpp"

#include <algorithm>
#include <charconv>
#include <string>
#include <system_error>

namespace flitchwise::scan {
namespace {

constexpr std::string_view kBlanks = " \t\r\n\v\f";

}  // namespace

LineCursor::LineCursor(std::string_view text) : text_(text) {
  const std::size_t first_end = text.find_first_of("\r\n");
  if (first_end != std::string_view::npos && text[first_end] == '\r' &&
      (first_end + 1 == text.size() || text[first_end + 1] != '\n')) {
    end_ = '\r';
  }
}

bool LineCursor::next(std::string_view& line) {
  if (at_ >= text_.size()) {
    return false;
  }
  const std::size_t stop = std::min(text_.find(end_, at_), text_.size());
  line = text_.substr(at_, stop - at_);
  at_ = stop + 1;
  if (end_ == '\n' && !line.empty() && line.back() == '\r') {
    line.remove_suffix(1);
  }
  return true;
}

std::string_view without_byte_order_mark(std::string_view text) {
  constexpr std::string_view kMark = "\xEF\xBB\xBF";
  return text.starts_with(kMark) ? text.substr(kMark.size()) : text;
}

std::uint64_t line_number(std::string_view text, const char* position) {
  const std::string_view before = text.substr(0, static_cast<std::size_t>(position - text.data()));
  const auto feeds = std::count(before.begin(), before.end(), '\n');
  return 1 + static_cast<std::uint64_t>(feeds > 0 ? feeds : std::count(before.begin(), before.end(), '\r'));
}

bool parse_count(std::string_view word, std::uint64_t& number) {
  const char* end = word.data() + word.size();
  const auto [stop, error] = std::from_chars(word.data(), end, number);
  return error == std::errc() && stop == end && !word.empty();
}

std::string_view take_word(std::string_view& line) {
  const std::size_t start = std::min(line.find_first_not_of(kBlanks), line.size());
  const std::size_t stop = std::min(line.find_first_of(kBlanks, start), line.size());
  const std::string_view word = line.substr(start, stop - start);
  line.remove_prefix(stop);
  return word;
}

std::string_view trimmed(std::string_view text) {
  text.remove_prefix(std::min(text.find_first_not_of(kBlanks), text.size()));
  return text.substr(0, text.find_last_not_of(kBlanks) + 1);
}

std::string quoted(std::string_view text) {
  constexpr std::size_t kMost = 40;
  std::string shown = "\"";
  for (const char letter : text.substr(0, kMost)) {
    const bool printable = letter >= ' ' && letter <= '~';
    shown += printable ? letter : '?';
  }
  return shown + (text.size() > kMost ? "...\"" : "\"");
}

}  // namespace flitchwise::scan
