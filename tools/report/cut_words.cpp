#include "tools/report/cut_words.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "tools/report/report.hpp"

namespace flitchwise::report {
namespace {

using solver::Cut;
using solver::Piece;
using solver::RestsOn;
using Source = solver::ShortBoard::Source;

/// "cut 1", "cuts 2 and 4", "cuts 2 to 9", "cuts 2, 5 and 7 to 9".
std::string cuts_words(const std::vector<int>& orders) {
  std::vector<std::string> runs;
  for (std::size_t i = 0; i < orders.size();) {
    std::size_t end = i + 1;
    while (end < orders.size() && orders[end] == orders[end - 1] + 1) {
      ++end;
    }
    const std::size_t whole = end - i > 2 ? end : i + 1;  // two in a row are named one by one
    runs.push_back(std::to_string(orders[i]) +
                   (whole > i + 1 ? " to " + std::to_string(orders[whole - 1]) : std::string()));
    i = whole;
  }
  std::string words = orders.size() == 1 ? "cut " : "cuts ";
  for (std::size_t i = 0; i < runs.size(); ++i) {
    words += (i == 0 ? "" : i + 1 == runs.size() ? " and " : ", ") + runs[i];
  }
  return words;
}

/// The saw rides on the rail or on a sawn face, set to a depth.
bool rides_at_depth(const Cut& cut) {
  return is_level(cut) || cut.kind == Cut::Kind::cant;
}

std::string flitch_words(std::size_t flitch, bool cant) {
  return (cant ? "cant " : "flitch ") + std::to_string(flitch + 1);
}

/// "left edge of flitch 2"
std::string rest_words(Source source, const std::string& flitch) {
  switch (source) {
    case Source::top_jacket:
      return "top jacket";
    case Source::bottom_jacket:
      return "bottom jacket";
    case Source::left_edge:
      return "left edge of " + flitch;
    case Source::right_edge:
      return "right edge of " + flitch;
    case Source::small_end:
      return "small-end piece of " + flitch;
    case Source::large_end:
      return "large-end piece of " + flitch;
    case Source::flitch:
      break;
  }
  return flitch;
}

bool is_jacket(Source source) {
  return source == Source::top_jacket || source == Source::bottom_jacket;
}

/// What a piece is, without its number.
std::string noun_of(const Piece& piece) {
  switch (piece.kind) {
    case Piece::Kind::log:
      return "log";
    case Piece::Kind::top_piece:
      return "top piece";
    case Piece::Kind::flitch:
      return piece.cant ? "cant" : "flitch";
    case Piece::Kind::board:
      return "board";
    case Piece::Kind::rest:
      break;
  }
  return is_jacket(piece.rest) ? rest_words(piece.rest, "") : "piece";
}

std::string face_words(const Cut& cut) {
  const bool jacket = cut.piece.kind == Piece::Kind::rest;
  return "sawn face of the " + noun_of(cut.piece) +
         (!cut.turned_over ? ""
          : jacket         ? ", flat side up"
                           : ", turned over flat side up");
}

}  // namespace

std::string kind_word(Cut::Kind kind) {
  switch (kind) {
    case Cut::Kind::opening:
      return "opening";
    case Cut::Kind::level:
      return "level";
    case Cut::Kind::crosscut:
      return "crosscut";
    case Cut::Kind::cant:
      return "cant";
    case Cut::Kind::edging:
      break;
  }
  return "edging";
}

std::string piece_words(const Piece& piece) {
  switch (piece.kind) {
    case Piece::Kind::flitch: {
      const bool one_length = piece.parted && piece.window != Piece::kNone;
      return flitch_words(piece.flitch, piece.cant) +
             (one_length ? ", length " + std::to_string(piece.window + 1) : std::string());
    }
    case Piece::Kind::board:
      return "board " + piece.board;
    case Piece::Kind::rest:
      return rest_words(piece.rest, flitch_words(piece.flitch, piece.cant));
    default:
      return noun_of(piece);
  }
}

std::string rests_on_words(const Cut& cut) {
  switch (cut.rests_on) {
    case RestsOn::supports:
      return cut.kind == Cut::Kind::cant ? "rail on its supports, cant turned a quarter, left side up"
                                         : "rail on its supports";
    case RestsOn::sawn_face:
      return face_words(cut);
    case RestsOn::rail_on_face:
      return "rail laid on the " + face_words(cut);
    case RestsOn::sawn_edge:
      return "sawn edge of the " + noun_of(cut.piece);
    case RestsOn::chalk_line:
      return noun_of(cut.piece) + ", along a chalk line";
    case RestsOn::bearers:
      break;
  }
  return "bearers, square line across the " + noun_of(cut.piece);
}

bool lies_on_rail(const Cut& cut) {
  return cut.rests_on == RestsOn::supports || cut.rests_on == RestsOn::rail_on_face;
}

std::string source_words(const solver::SawPlan& plan, const solver::ShortBoard& board) {
  const bool cant = plan.flitches.at(board.flitch).kind == solver::Flitch::Kind::cant;
  return rest_words(board.source, flitch_words(board.flitch, cant));
}

bool is_from_jacket(const solver::ShortBoard& board) {
  return is_jacket(board.source);
}

bool is_level(const Cut& cut) {
  return cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level;
}

bool is_on_cant(const Cut& cut) {
  return cut.piece.cant && cut.piece.kind != Piece::Kind::rest;
}

std::string settings_count(const Report& report) {
  std::vector<std::string> depths;
  int times = 0;
  std::string before;
  for (const Cut& cut : report.sheet.cuts) {
    if (!rides_at_depth(cut)) {
      continue;
    }
    const std::string depth = bare_depth(report.units, cut.saw_depth_m);
    times += depth == before ? 0 : 1;
    before = depth;
    if (std::find(depths.begin(), depths.end(), depth) == depths.end()) {
      depths.push_back(depth);
    }
  }
  return times < 2 ? std::string()
                   : counted(depths.size(), "setting") + ", set " + std::to_string(times) + " times";
}

std::vector<std::string> depth_settings(const Report& report) {
  std::vector<std::pair<std::string, std::vector<int>>> settings;
  for (const Cut& cut : report.sheet.cuts) {
    if (!rides_at_depth(cut)) {
      continue;
    }
    const std::string depth = bare_depth(report.units, cut.saw_depth_m) + ' ' + unit_name(report.units);
    const auto at = std::find_if(settings.begin(), settings.end(),
                                 [&](const auto& setting) { return setting.first == depth; });
    if (at == settings.end()) {
      settings.emplace_back(depth, std::vector<int>{cut.order});
    } else {
      at->second.push_back(cut.order);
    }
  }
  std::vector<std::string> words;
  for (const auto& [depth, orders] : settings) {
    words.push_back(depth + " for " + cuts_words(orders));
  }
  return words;
}

std::string opening_depth_words(const Report& report) {
  const auto& cuts = report.sheet.cuts;
  const Cut* opening = opening_cut(report.sheet);
  const Cut* normal = nullptr;  // the depth of most level cuts, the first where two are as frequent
  std::ptrdiff_t most = 0;
  for (const Cut& cut : cuts) {
    const std::ptrdiff_t same = std::count_if(cuts.begin(), cuts.end(), [&](const Cut& other) {
      return other.kind == Cut::Kind::level &&
             bare_depth(report.units, other.saw_depth_m) == bare_depth(report.units, cut.saw_depth_m);
    });
    if (cut.kind == Cut::Kind::level && same > most) {
      most = same;
      normal = &cut;
    }
  }
  if (opening == nullptr || normal == nullptr || opening->saw_depth_m <= normal->saw_depth_m) {
    return {};
  }
  // The difference of the two figures as they are read, unless the kit sets it.
  const double step_m = report.units == Units::inches ? 0.0254 / 16 : 0.0005;
  const auto as_read = [&](double length_m) { return std::round(length_m / step_m) * step_m; };
  const double deeper_m = report.sheet.kit.opening_deeper_m > 0
                              ? report.sheet.kit.opening_deeper_m
                              : as_read(opening->saw_depth_m) - as_read(normal->saw_depth_m);
  const auto depth = [&](double depth_m) {
    return bare_depth(report.units, depth_m) + ' ' + unit_name(report.units);
  };
  return "The opening cut is set " + depth(deeper_m) + " deeper than the normal cut (" +
         depth(opening->saw_depth_m) + " and " + depth(normal->saw_depth_m) + ").";
}

}  // namespace flitchwise::report
