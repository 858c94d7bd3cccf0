#include "solver/allocate/order_file.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <fstream>
#include <optional>
#include <sstream>

#include "scan/model/csv_rows.hpp"
#include "scan/model/errors.hpp"
#include "scan/model/numbers.hpp"
#include "solver/plan/board_size.hpp"

namespace flitchwise::solver {
namespace {

enum Column {
  kTarget,
  kThickness,
  kWidth,
  kLength,
  kQuantity,
  kValue,
  kPriority,
  kDue,
  kOnHand,
  kUse,
  kColumns
};
constexpr std::array<const char*, kColumns> kNames{"target",   "thickness_mm", "width_mm", "length_mm",
                                                   "quantity", "value",        "priority", "due",
                                                   "on_hand",  "use"};
std::string plain_word(const std::string& text) {
  std::string word = text;
  std::transform(word.begin(), word.end(), word.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return word;
}

/// One order file while it is read.
class OrderFile {
 public:
  OrderFile(std::istream& stream, const std::string& name)
      : what_("order file " + name), table_(read_csv(stream, what_)) {
    if (table_.rows.empty()) {
      throw InputError(what_ + " is empty; its first line must name the columns, for example " +
                       "target,quantity,value,priority,due,on_hand");
    }
    find_columns(table_.rows.front());
  }

  Order read() const {
    Order order;
    for (std::size_t i = 1; i < table_.rows.size(); ++i) {
      add(order, table_.rows[i]);
    }
    if (order.lines.empty()) {
      throw InputError(what_ + " orders nothing: there is no line after that with the names of the columns");
    }
    return order;
  }

 private:
  [[noreturn]] void fail(const CsvRow& row, const std::string& why) const {
    throw InputError(what_ + ", line " + std::to_string(row.line) + ": " + why);
  }

  void find_columns(const CsvRow& header) {
    for (std::size_t i = 0; i < header.fields.size(); ++i) {
      const std::string word = plain_word(header.fields[i]);
      const auto found = std::find(kNames.begin(), kNames.end(), word);
      if (found == kNames.end()) {
        fail(header, "there is no column '" + header.fields[i] + "'; the columns are " + all_names());
      }
      auto& place = places_.at(static_cast<std::size_t>(found - kNames.begin()));
      if (place) {
        fail(header, "the column " + word + " is there twice");
      }
      place = i;
    }
    const int sides = has(kThickness) + has(kWidth) + has(kLength);
    if (has(kTarget) ? sides > 0 : sides < 3) {
      fail(header,
           "the board's size must be given either in the column target, as 50x150x3000, or in the "
           "three columns thickness_mm, width_mm and length_mm");
    }
    if (!has(kQuantity)) {
      fail(header, "the column quantity is missing");
    }
  }

  static std::string all_names() {
    std::string text;
    for (const char* name : kNames) {
      text += (text.empty() ? "" : ", ") + std::string(name);
    }
    return text;
  }

  bool has(Column column) const { return places_.at(column).has_value(); }

  /// Empty where the column is missing.
  std::string field(const CsvRow& row, Column column) const {
    return has(column) ? row.fields[*places_.at(column)] : "";
  }

  void add(Order& order, const CsvRow& row) const {
    if (row.fields.size() != table_.rows.front().fields.size()) {
      fail(row, "it has " + std::to_string(row.fields.size()) + " fields, but the first line names " +
                    std::to_string(table_.rows.front().fields.size()) + " columns");
    }
    const OrderLine line = line_of(row);
    if (const std::string fault = fault_of(line); !fault.empty()) {
      fail(row, fault);
    }
    for (const OrderLine& earlier : order.lines) {
      if (same_size(earlier.target, line.target)) {
        fail(row, line.target.name + " was ordered on line " + std::to_string(earlier.line) +
                      " already; put both into one line");
      }
    }
    if (order.lines.size() == kMostTargets) {
      fail(row, "an order may have at most " + std::to_string(kMostTargets) + " sizes; split it");
    }
    order.lines.push_back(line);
  }

  OrderLine line_of(const CsvRow& row) const {
    OrderLine line;
    line.line = row.line;
    line.target = target_of(row);
    line.target.value = field(row, kValue).empty() ? 1 : number(row, kValue);
    line.quantity = whole_number(row, kQuantity, std::nullopt);
    line.on_hand = whole_number(row, kOnHand, 0);
    line.priority = whole_number(row, kPriority, 1);
    line.due = field(row, kDue);
    line.use = field(row, kUse);
    return line;
  }

  Target target_of(const CsvRow& row) const {
    std::string size = field(row, kTarget);
    if (!has(kTarget)) {
      for (const Column side : {kThickness, kWidth, kLength}) {
        std::ostringstream side_mm;
        side_mm.imbue(std::locale::classic());
        side_mm << number(row, side);
        size.append(size.empty() ? "" : "x").append(side_mm.str());
      }
    }
    if (size.find('=') != std::string::npos) {
      fail(row, "the target is '" + size + "'; write its value into the column value");
    }
    try {
      return board_size(size);
    } catch (const BadUse& error) {
      fail(row, error.what());
    }
  }

  double number(const CsvRow& row, Column column) const {
    std::string text = field(row, column);
    if (table_.separator == ';') {  // as spreadsheets write it where the comma is the decimal sign
      std::replace(text.begin(), text.end(), ',', '.');
    }
    const std::optional<double> value = parse_double(text);
    if (!value) {
      fail(row, std::string(kNames.at(column)) + " is '" + field(row, column) + "', which is no number");
    }
    return *value;
  }

  /// Without `if_empty` the field must not be empty.
  int whole_number(const CsvRow& row, Column column, std::optional<int> if_empty) const {
    const std::string text = field(row, column);
    if (text.empty() && if_empty) {
      return *if_empty;
    }
    int value = 0;
    const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || error != std::errc() || rest != text.data() + text.size()) {
      fail(row, std::string(kNames.at(column)) + " is '" + text + "', but must be a whole number");
    }
    return value;
  }

  std::string what_;
  CsvTable table_;
  std::array<std::optional<std::size_t>, kColumns> places_;
};

}  // namespace

Order read_order(std::istream& stream, const std::string& name) {
  return OrderFile(stream, name).read();
}

Order read_order(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  if (!stream || std::filesystem::is_directory(file)) {
    throw InputError("order file " + file.string() + " cannot be opened; check its name and place");
  }
  return read_order(stream, file.string());
}

}  // namespace flitchwise::solver
