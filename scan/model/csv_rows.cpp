#include "scan/model/csv_rows.hpp"

#include <csv.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "scan/model/errors.hpp"

namespace flitchwise {
namespace {

// An order has tens of lines; what is larger is some other file.
constexpr std::size_t kMostBytes = 1 << 20;
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

std::string text_of(std::istream& stream, const std::string& what) {
  std::string text;
  std::array<char, 4096> block{};
  while (stream.read(block.data(), block.size()) || stream.gcount() > 0) {
    text.append(block.data(), static_cast<std::size_t>(stream.gcount()));
    if (text.size() > kMostBytes) {
      throw InputError(what + " is larger than 1 MB, which no order is; check its name");
    }
  }
  if (stream.bad()) {
    throw InputError(what + " cannot be read");
  }
  if (text.find('\0') != std::string::npos) {
    throw InputError(what + " is no text file; save the table as CSV (UTF-8) and give that file");
  }
  if (text.starts_with(kByteOrderMark)) {
    text.erase(0, kByteOrderMark.size());
  }
  return text;
}

/// Line ends of any system become line feeds.
std::string with_line_feeds(const std::string& text) {
  std::string plain;
  plain.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\r') {
      plain += text[i];
    } else if (i + 1 == text.size() || text[i + 1] != '\n') {
      plain += '\n';
    }
  }
  return plain;
}

char separator_of(const std::string& text) {
  bool quoted = false;
  for (const char c : text) {
    quoted = quoted != (c == '"');
    if (!quoted && c == ';') {
      return ';';
    }
    if (!quoted && c == '\n') {
      break;
    }
  }
  return ',';
}

/// libcsv's parser and what it has read so far.
class Parser {
 public:
  Parser(char separator, const std::string& what) : what_(what) {
    if (csv_init(&parser_, CSV_STRICT | CSV_STRICT_FINI) != 0) {
      throw InputError(what + " cannot be read: no memory");
    }
    csv_set_delim(&parser_, static_cast<unsigned char>(separator));
  }
  ~Parser() { csv_free(&parser_); }
  Parser(const Parser&) = delete;
  Parser& operator=(const Parser&) = delete;

  /// One line of the file with its line feed.
  void feed(std::string_view line) {
    ++line_;
    if (!inside_) {
      if (line.find_first_not_of(" \t\n") == std::string_view::npos) {
        return;
      }
      row_.line = line_;
      inside_ = true;
    }
    if (csv_parse(&parser_, line.data(), line.size(), field, row, this) != line.size()) {
      fail();
    }
  }

  std::vector<CsvRow> finish() {
    if (csv_fini(&parser_, field, row, this) != 0) {
      line_ = row_.line;
      fail();
    }
    return std::move(rows_);
  }

 private:
  static void field(void* text, std::size_t size, void* self) {
    static_cast<Parser*>(self)->row_.fields.emplace_back(static_cast<const char*>(text), size);
  }

  static void row(int /*terminator*/, void* self) { static_cast<Parser*>(self)->end_row(); }

  void end_row() {
    inside_ = false;
    const bool empty =
        std::all_of(row_.fields.begin(), row_.fields.end(), [](const auto& text) { return text.empty(); });
    if (!empty) {
      rows_.push_back(std::move(row_));
    }
    row_ = {};
  }

  [[noreturn]] void fail() {
    throw InputError(what_ + ", line " + std::to_string(line_) +
                     ": a quotation mark is not closed, or stands inside a field; write a field that needs "
                     "one as \"deck \"\"A\"\"\"");
  }

  csv_parser parser_{};
  std::string what_;
  std::size_t line_ = 0;
  bool inside_ = false;  ///< a row has begun and not ended
  CsvRow row_;
  std::vector<CsvRow> rows_;
};

}  // namespace

CsvTable read_csv(std::istream& stream, const std::string& what) {
  const std::string text = with_line_feeds(text_of(stream, what));
  CsvTable table;
  table.separator = separator_of(text);
  Parser parser(table.separator, what);
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t end = std::min(text.find('\n', from), text.size() - 1) + 1;
    parser.feed(std::string_view(text).substr(from, end - from));
    from = end;
  }
  table.rows = parser.finish();
  return table;
}

}  // namespace flitchwise
