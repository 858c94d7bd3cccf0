#include "tools/report/plain_text.hpp"

#include <algorithm>

namespace flitchwise::report {

std::string wrapped(const std::string& text, const std::string& first) {
  constexpr std::size_t kLineLength = 96;
  std::string out;
  std::string line = first;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t stop = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, stop - at);
    if (line.size() > first.size() && line.size() + 1 + word.size() > kLineLength) {
      out += line + '\n';
      line = std::string(first.size(), ' ');
    }
    line += (line.size() > first.size() ? " " : "") + word;
    at = stop + 1;
  }
  return out + line + '\n';
}

std::string table(const std::vector<std::vector<std::string>>& rows, const std::vector<bool>& right,
                  const std::string& indent) {
  std::vector<std::size_t> widths(right.size(), 0);
  for (const auto& row : rows) {
    for (std::size_t c = 0; c < row.size(); ++c) {
      widths[c] = std::max(widths[c], row[c].size());
    }
  }
  std::string text;
  for (const auto& row : rows) {
    std::string line = indent;
    for (std::size_t c = 0; c < row.size(); ++c) {
      const std::string padding(widths[c] - row[c].size(), ' ');
      line += c == 0 ? "" : "  ";
      line += right[c] ? padding + row[c] : row[c] + padding;
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + '\n';
  }
  return text;
}

}  // namespace flitchwise::report
