#include "tools/yard/list_logs.hpp"

#include <algorithm>
#include <array>
#include <fstream>
#include <map>
#include <optional>
#include <set>

#include "scan/model/csv_rows.hpp"
#include "scan/model/errors.hpp"
#include "tools/job/from_words.hpp"
#include "tools/yard/find_scans.hpp"

namespace flitchwise::yard {
namespace {

namespace fs = std::filesystem;

enum Column { kFile, kLog, kScaleLength, kBark, kSpecies, kNear, kUnit, kUp, kSkip, kColumns };
constexpr std::array<const char*, kColumns> kNames{
    "file", "log", "scale_length_mm", "bark_mm", "species", "near", "unit", "up", "skip"};

/// One line of logs.csv.
struct Row {
  std::size_t line = 0;
  std::string file;
  std::string log;
  ScanRequest scan;
  bool skip = false;
};

class SettingsFile {
 public:
  SettingsFile(const fs::path& file, const ScanRequest& for_all) : what_(file.string()), for_all_(for_all) {
    std::ifstream stream(file, std::ios::binary);
    if (!stream) {
      throw InputError(what_ + " cannot be read: check its access rights.");
    }
    table_ = read_csv(stream, what_);
    if (!table_.rows.empty()) {
      find_columns(table_.rows.front());
    }
  }

  std::vector<Row> rows() const {
    std::vector<Row> rows;
    for (std::size_t i = 1; i < table_.rows.size(); ++i) {
      rows.push_back(row_of(table_.rows[i]));
    }
    return rows;
  }

 private:
  [[noreturn]] void fail(const CsvRow& row, const std::string& why) const {
    throw InputError(what_ + ", line " + std::to_string(row.line) + ": " + why + ".");
  }

  void find_columns(const CsvRow& header) {
    for (std::size_t i = 0; i < header.fields.size(); ++i) {
      const auto found = std::find(kNames.begin(), kNames.end(), lower_case(header.fields[i]));
      if (found == kNames.end()) {
        fail(header, "there is no column '" + header.fields[i] +
                         "'; the columns are file, log, scale_length_mm, bark_mm, species, near, unit, up "
                         "and skip");
      }
      auto& place = places_.at(static_cast<std::size_t>(found - kNames.begin()));
      if (place) {
        fail(header, "the column " + std::string(*found) + " is there twice");
      }
      place = i;
    }
    if (!places_[kFile]) {
      fail(header, "the column file is missing");
    }
  }

  /// Without blanks around it; empty where the column is missing.
  std::string field(const CsvRow& row, Column column) const {
    if (!places_.at(column)) {
      return {};
    }
    const std::string& text = row.fields[*places_.at(column)];
    const std::size_t first = text.find_first_not_of(" \t");
    return first == std::string::npos ? "" : text.substr(first, text.find_last_not_of(" \t") - first + 1);
  }

  /// A length, in millimetres.
  template <typename Field>
  void read_number(const CsvRow& row, Column column, const Range& range, Field& into) const {
    constexpr PersonUnit kMm = person_unit("_m");
    const std::string text = field(row, column);
    if (text.empty()) {
      return;
    }
    std::array<double, 1> number{};
    require(read_numbers(text, "", number),
            std::string(kNames.at(column)) + " is '" + text + "', which is no number");
    require_within(range, kMm.to_field(number[0]), kNames.at(column), kMm);
    into = kMm.to_field(number[0]);
  }

  /// A text that `parse` makes the field of.
  template <typename Field, typename Parse>
  void read_text(const CsvRow& row, Column column, const Parse& parse, Field& into) const {
    if (const std::string text = field(row, column); !text.empty()) {
      into = parse(text, kNames.at(column));
    }
  }

  Row row_of(const CsvRow& row) const {
    if (row.fields.size() != table_.rows.front().fields.size()) {
      fail(row, "it has " + std::to_string(row.fields.size()) + " fields, but the first line names " +
                    std::to_string(table_.rows.front().fields.size()) + " columns");
    }
    Row made{row.line, field(row, kFile), field(row, kLog), for_all_, false};
    if (made.file.empty()) {
      fail(row, "the name of the file is missing");
    }
    made.file = fs::path(made.file).lexically_normal().string();
    read_scan(row, made.scan);
    const std::string skip = lower_case(field(row, kSkip));
    if (!skip.empty() && skip != "yes" && skip != "no") {
      fail(row, "skip is '" + skip + "', but must be yes, no or empty");
    }
    made.skip = skip == "yes";
    return made;
  }

  void read_scan(const CsvRow& row, ScanRequest& scan) const {
    try {
      read_number(row, kScaleLength, range_of<&ScanRequest::scale_length_m>(), scan.scale_length_m);
      read_number(row, kBark, range_of<&ScanRequest::bark_m>(), scan.bark_m);
      read_text(row, kSpecies, species_of, scan.species);
      read_text(row, kUnit, unit_of, scan.metres_per_unit);
      read_text(row, kUp, up_of, scan.up);
      read_text(row, kNear, point_of, scan.near_in_file);
    } catch (const BadUse& trouble) {
      fail(row, trouble.what());
    }
  }

  std::string what_;
  ScanRequest for_all_;
  CsvTable table_;
  std::array<std::optional<std::size_t>, kColumns> places_;
};

/// Its rows by file; empty without the table.
std::map<std::string, std::vector<Row>> settings(const YardRequest& request) {
  std::map<std::string, std::vector<Row>> by_file;
  const fs::path file = request.folder / kSettingsFile;
  std::error_code ignored;
  if (fs::exists(file, ignored)) {
    for (const Row& row : SettingsFile(file, request.scan).rows()) {
      by_file[row.file].push_back(row);
    }
  }
  return by_file;
}

std::string where(const Row& row) {
  return std::string(kSettingsFile) + ", line " + std::to_string(row.line) + ": ";
}

void add_log(const fs::path& path, const std::string& file, const std::string& name, ScanRequest scan,
             ListedLogs& listed) {
  scan.files = {{path}};
  listed.logs.push_back({name, file, std::move(scan)});
}

void check_names(const ListedLogs& listed) {
  std::set<std::string> names;
  for (const ListedLog& log : listed.logs) {
    if (!names.insert(log.name).second) {
      throw InputError(std::string(kSettingsFile) + " has two logs that are called '" + log.name +
                       "': give each of them a name of its own in the column log.");
    }
  }
}

}  // namespace

ListedLogs list_logs(const YardRequest& request) {
  const FindOptions options{{request.order_file, request.out}};
  auto by_file = settings(request);
  ListedLogs listed;
  for (const fs::path& path : find_scans(request.folder, options)) {
    const std::string file = path.lexically_relative(request.folder).string();
    const auto rows = by_file.extract(file);
    if (rows.empty()) {
      add_log(path, file, file, request.scan, listed);
      continue;
    }
    for (const Row& row : rows.mapped()) {
      if (!row.skip) {
        add_log(path, file, row.log.empty() ? file : row.log, row.scan, listed);
      }
    }
  }
  for (const auto& [file, rows] : by_file) {
    for (const Row& row : rows) {
      listed.notes.push_back(where(row) + file + " is no scan in " + request.folder.string() + ".");
    }
  }
  std::sort(listed.logs.begin(), listed.logs.end(), [](const ListedLog& a, const ListedLog& b) {
    return std::tie(a.file, a.name) < std::tie(b.file, b.name);
  });
  check_names(listed);
  return listed;
}

}  // namespace flitchwise::yard
