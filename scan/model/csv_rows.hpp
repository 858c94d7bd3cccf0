#pragma once
/// CSV as spreadsheets write it, with the number of the line where each row stands.

#include <cstddef>
#include <istream>
#include <string>
#include <vector>

namespace flitchwise {

struct CsvRow {
  std::size_t line = 0;  ///< where it begins, from 1
  std::vector<std::string> fields;
};

struct CsvTable {
  char separator = ',';
  std::vector<CsvRow> rows;  ///< without those that are empty; the first is the header
};

/// Reads all of the stream. Separator is the semicolon if the first line has one outside quotes, else the
/// comma. Throws InputError that begins with `what` ("order file order.csv") and the number of the line.
CsvTable read_csv(std::istream& stream, const std::string& what);

}  // namespace flitchwise
