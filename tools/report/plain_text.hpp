#pragma once
/// Text for a terminal: broken into lines and set in columns.

#include <string>
#include <vector>

namespace flitchwise::report {

/// Text broken at blanks into lines; the first starts with `first`, the others with as many blanks. Ends with
/// a line end.
std::string wrapped(const std::string& text, const std::string& first);

/// Rows of words as lines of columns, two blanks between; `right` marks the columns that align right.
std::string table(const std::vector<std::vector<std::string>>& rows, const std::vector<bool>& right,
                  const std::string& indent);

}  // namespace flitchwise::report
