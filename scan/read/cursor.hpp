#pragma once
/// Walks through the bytes of a file line by line.

#include <algorithm>
#include <cstdint>
#include <string>
#include <string_view>

namespace flitchwise::scan {

/// Lines of a text. Any of the usual line ends: "\n", "\r\n" or, if the text has no "\n" before it, "\r".
class LineCursor {
 public:
  explicit LineCursor(std::string_view text);

  /// Next line without its end; false after the last.
  bool next(std::string_view& line);
  /// Where the next line starts; at most the end of the text.
  const char* position() const { return text_.data() + std::min(at_, text_.size()); }
  /// The line given last has no line end, because the text ends.
  bool line_is_cut() const { return at_ > text_.size(); }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  char end_ = '\n';
};

/// `text` without a UTF-8 byte order mark at its start.
std::string_view without_byte_order_mark(std::string_view text);

/// Number of the line in which `position` lies, from 1.
std::uint64_t line_number(std::string_view text, const char* position);

/// Whole number without sign; false if `word` is anything else or too large.
bool parse_count(std::string_view word, std::uint64_t& number);

/// Cuts the next word (blanks and tabs between) off the front of `line`; empty if there is none.
std::string_view take_word(std::string_view& line);

/// `text` without blanks and tabs at its ends.
std::string_view trimmed(std::string_view text);

/// `text` made fit to be quoted in a message: printable, at most 40 bytes.
std::string quoted(std::string_view text);

}  // namespace flitchwise::scan
