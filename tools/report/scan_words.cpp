#include "tools/report/scan_words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "scan/fit/seams.hpp"
#include "scan/model/units.hpp"
#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "tools/report/quantities.hpp"

namespace flitchwise::report {
namespace {

using scan::FileFormat;

constexpr double kPercent = 100;

std::string percent(double share) {
  return fixed(share * kPercent, 0) + " %";
}

/// At most so many digits after the point, no noughts at the end.
std::string plain(double value, int digits) {
  std::string text = fixed(value, digits);
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
  }
  return text.ends_with('.') ? text.substr(0, text.size() - 1) : text;
}

std::string format_name(FileFormat::Kind kind) {
  constexpr std::array kNames = {"",
                                 "PLY",
                                 "PCD",
                                 "LAS",
                                 "E57",
                                 "XYZ text",
                                 "OBJ",
                                 "STL",
                                 "glTF",
                                 "depth images",
                                 "files of several formats"};
  return kNames.at(static_cast<std::size_t>(kind));
}

std::string start_of(scan::Flaw flaw) {
  switch (flaw) {
    case scan::Flaw::fork:
      return "The log forks";
    case scan::Flaw::kink:
      return "The log has a sharp kink, as a broken one has,";
    case scan::Flaw::gap:
      break;
  }
  return "The log is broken or was not seen";
}

/// Side of the log, as seen from the small end, at the start of a sentence.
std::string side_of(double theta_rad) {
  constexpr std::array kSides = {
      "On the left side",  "On the upper left side",  "On top",     "On the upper right side",
      "On the right side", "On the lower right side", "Underneath", "On the lower left side"};
  constexpr double kEighth = std::numbers::pi / 4;
  const long eighths = std::lround(theta_rad / kEighth) % 8;
  return kSides.at(static_cast<std::size_t>((eighths + 8) % 8));
}

/// A point as a person finds it in a point viewer: "1.20,-3.45,0.30".
std::string file_point(const Eigen::Vector3d& in_file, double metres_per_unit) {
  constexpr double kFine_m = 0.01;  // as many digits as tell a log from its neighbour
  const int digits = std::max(0, static_cast<int>(std::ceil(-std::log10(kFine_m / metres_per_unit))));
  return fixed(in_file.x(), digits) + ',' + fixed(in_file.y(), digits) + ',' + fixed(in_file.z(), digits);
}

/// "feet (ft)" of the units that files have.
std::string unit_words(double metres_per_unit) {
  struct Named {
    double metres;
    const char* words;
  };
  constexpr Named kUnits[] = {{1, "metres (m)"},
                              {0.01, "centimetres (cm)"},
                              {0.001, "millimetres (mm)"},
                              {0.3048, "feet (ft)"},
                              {0.0254, "inches (in)"}};
  const auto* nearest =
      std::min_element(std::begin(kUnits), std::end(kUnits), [&](const auto& a, const auto& b) {
        return std::abs(a.metres - metres_per_unit) < std::abs(b.metres - metres_per_unit);
      });
  return nearest->words;
}

constexpr double kMetresAFoot = 0.3048;

struct ScanWords {
  Units units;
  const std::vector<std::string>& names;

  /// Millimetres or inches; what is less than can be told apart is not nothing.
  std::string length(double length_m) const {
    const std::string text = length_text(units, length_m);
    return length_m > 0 && text == "0 in" ? "less than 1/16 in" : text;
  }
  /// Without its unit, to a tenth: metres or feet.
  std::string bare_place(double x_m, int digits = 1) const {
    return fixed(units == Units::inches ? x_m / kMetresAFoot : x_m, digits);
  }
  std::string far_unit() const { return units == Units::inches ? " ft" : " m"; }
  std::string place(double x_m) const { return bare_place(x_m) + far_unit(); }
  /// Without its unit, as few digits as it takes: metres or feet.
  std::string bare_limit(double x_m) const {
    return units == Units::inches ? plain(x_m / kMetresAFoot, 1) : plain(x_m, 2);
  }
  std::string limit(double x_m) const { return bare_limit(x_m) + far_unit(); }
  /// One that may be off by powers of ten.
  std::string rough(double size_m) const {
    constexpr double kMost_m = 1e5;
    constexpr double kLeast_m = 0.001;
    if (size_m > kMost_m) {
      return units == Units::inches ? "over 60 miles" : "over 100 km";
    }
    return size_m >= 1              ? bare_place(size_m, 0) + far_unit()
           : size_m >= kLeast_m     ? length(size_m)
           : units == Units::inches ? "less than 1/16 in"
                                    : "less than 1 mm";
  }
  std::string scan_name(std::size_t scan) const {
    return "Of the scans given, " + (scan < names.size() ? names[scan] : "scan " + std::to_string(scan + 1));
  }

  std::string operator()(const scan::PictureMissing& fact) const {
    return "The picture " + scan::quoted(fact.name) +
           " with the mesh's colours is missing or cannot be read; what it would colour is grey.";
  }
  std::string operator()(const scan::MaterialsMissing& fact) const {
    return "The file " + scan::quoted(fact.name) +
           " with the mesh's materials is missing; what it would colour is grey.";
  }
  std::string operator()(const scan::PointsSkipped& fact) const {
    return std::to_string(fact.points) + " points of the file have no finite coordinates and were left out.";
  }

  std::string operator()(const scan::ScansMerged& fact) const {
    return std::to_string(fact.scans) + " scans merged; they agree within " + at_least_one(fact.apart_m) +
           " over " + percent(fact.shared_share) + " of the log's surface.";
  }
  std::string operator()(const scan::ScanUnlike& fact) const {
    std::string text = scan_name(fact.scan) + " does not fit the others";
    if (const auto& best = fact.best) {
      text += ": at the best place found both show " + percent(best->overlap_share) +
              " of the log, and of that " + percent(best->same_share) +
              " lies on one surface, give or take " + at_least_one(best->residual_m) +
              " (wanted: " + percent(best->least_overlap_share) + ", " + percent(best->least_same_share) +
              " and " + at_least_one(best->most_residual_m) + ")";
      if (best->beside_share) {
        text += ", but of what stands beside the log only " + percent(*best->beside_share) + " is the same";
      }
    }
    return text +
           ". Are they of the same log, lying in the same place, and in the same unit? Leave one out, or "
           "scan "
           "the log again in one walk.";
  }
  std::string operator()(const scan::ScanAmbiguous& fact) const {
    return scan_name(fact.scan) +
           " fits the others in more than one way: it could slide along the log or turn about it. Scan "
           "again, "
           "with both ends of the log and the ground beside it in every scan.";
  }
  std::string operator()(const scan::ScanBends& fact) const {
    return scan_name(fact.scan) +
           " shares too little of the log with the others: from scans as rough as these, the log could come "
           "out bent by " +
           at_least_one(fact.bend_m) + " (allowed: " + at_least_one(fact.most_bend_m) +
           "). Scan again with more of the log in both.";
  }
  std::string operator()(const scan::ScanScaled& fact) const {
    return scan_name(fact.scan) + " has another scale than the others: it would have to be " +
           significant(fact.factor) +
           " times as large to fit. Export both at the same scale, or plan from one of them.";
  }
  std::string operator()(const scan::ScanOtherSize& fact) const {
    return scan_name(fact.scan) + " is " + significant(fact.ratio) +
           " times as large as the others. Are all files in the same unit? Export them with one unit.";
  }

  std::string operator()(const scan::ScaleUnchecked& fact) const {
    return "The scale rests on the file alone: the log came out " + length(fact.length_m) +
           " long. Check that with a tape; if it differs, give the log's length by tape.";
  }
  std::string operator()(const scan::UpAssumed& fact) const {
    return "Which way is up is " + words(fact.source) + "; if that is wrong, say which axis is up.";
  }
  std::string operator()(const scan::SceneOfOtherSize& fact) const {
    return "With this unit the scan would be " + rough(fact.width_m) +
           " wide, which is no scan of a log. Is the file in another unit? Name it, for example mm, or give "
           "the log's length by tape.";
  }
  std::string operator()(const scan::LogTooLong& fact) const {
    return "With this scale the log would be " + rough(fact.length_m) +
           " long. Is the file in another unit? Name it, for example ft, or give the log's length by tape.";
  }
  std::string operator()(const scan::LogOfOtherUnit& fact) const {
    return "With this unit the log would be " + rough(fact.thickness_m) + " thick and " +
           rough(fact.length_m) + " long. " +
           (fact.metres_per_unit > 0
                ? "Is the file in " + unit_words(fact.metres_per_unit) + "? Name that unit"
                : "Is that its scale? Name the file's unit") +
           ", or give the log's length by tape.";
  }
  std::string operator()(const scan::ScalePointsOutside& /*fact*/) const {
    return "The two points of known distance do not both lie in the scan. Pick them in this file, and give "
           "its own coordinates.";
  }
  std::string operator()(const scan::NoLogOfTapeLength& /*fact*/) const {
    return "No log of the length by tape was found in the scan. Check that length, and that the file holds "
           "the whole log.";
  }
  std::string operator()(const scan::NoExtent& /*fact*/) const {
    return "All points of the scan lie in one place, so that no tape can give it a scale. Export the scan "
           "again.";
  }

  std::string operator()(const scan::NoLog& fact) const {
    return "No log was found in the scan: nothing in it is round, level, at least " +
           limit(fact.least_length_m) + " long and between " + bare_limit(fact.least_diameter_m) + " and " +
           limit(fact.most_diameter_m) +
           " thick. Check that the file holds the log, that its unit is metres (or name the unit) and that "
           "up "
           "is right (or say which axis is up).";
  }
  std::string operator()(const scan::NoLogNear& fact) const {
    return "No log lies within " + limit(fact.reach_m) +
           " of the point given. Take the point on the log's bark, as a point viewer shows it for this file, "
           "in the file's own coordinates.";
  }
  std::string operator()(const scan::RivalLog& fact) const {
    return "The scan shows more than one log. This plan is for the one that was seen best: " +
           length(fact.length_m) + " long, " + length(fact.small_end_diameter_m) +
           " thick at the small end. If that is not yours, give a point on the log that you mean: the other "
           "one lies at " +
           file_point(fact.rival_in_file, fact.metres_per_unit) + " in the file's coordinates.";
  }
  std::string operator()(const scan::CutBack& fact) const {
    return start_of(fact.flaw) + ' ' + place(fact.from_end_m) + " from the " +
           (fact.from_small_end ? "small" : "large") +
           " end; the plan covers the part before that place, square to the log and well clear of it.";
  }
  std::string operator()(const scan::TooLittleSound& fact) const {
    return start_of(fact.flaw) + " so near to its ends that no piece long enough for boards is left.";
  }
  std::string operator()(const scan::OneSideSeen& /*fact*/) const {
    return "The scan shows the log from one side only; the far side cannot be guessed well enough to saw by. "
           "Walk all the way round the log and scan it again.";
  }
  std::string operator()(const scan::EndNotSeen& fact) const {
    const std::string end = fact.small_end && fact.large_end ? "either end"
                            : fact.small_end                 ? "the small end"
                                                             : "the large end";
    return "The scan shows no sawn face at " + end +
           " of the log, so part of the log may be missing. Scan it again with both ends in view, or allow "
           "unseen ends to plan only what was seen.";
  }
  std::string operator()(const scan::PartPlanned& /*fact*/) const {
    return "Not both ends of the log were seen; the plan covers only the part that was.";
  }

  std::string operator()(const scan::TooFewPoints& fact) const {
    return "Only " + std::to_string(fact.points) + " points of the scan lie on the log; at least " +
           std::to_string(fact.least) +
           " are needed. Export the scan with more points, or scan from nearer by.";
  }
  std::string operator()(const scan::NoRoundSurface& /*fact*/) const {
    return "The points on the log close to no round surface, so there is nothing to saw by. Scan it again, "
           "slowly and from nearer by.";
  }
  std::string operator()(const scan::TooThin& fact) const {
    return "What was found in the scan is only " + length(fact.diameter_m) +
           " thick, thinner than any log that is sawn. Check that the unit is right and that it is the log "
           "that you mean.";
  }
  std::string operator()(const scan::NoSoundShape& /*fact*/) const {
    return "The scan gives no sound shape of the log. Scan it again, slowly and from nearer by.";
  }
  std::string operator()(const scan::NoClearSurface& fact) const {
    return "The scan shows no clear surface of the log: its points scatter by " + length(fact.scatter_m) +
           ". Scan it again, slowly and in good light, and keep people and loose things out of the way.";
  }
  std::string operator()(const scan::CoarseScan& fact) const {
    return "The scan is coarse: its points scatter by " + length(fact.scatter_m) +
           ". The plan keeps further inside the wood for it; a scan from photographs may show more boards.";
  }
  std::string operator()(const scan::HalfUnseen& /*fact*/) const {
    return "Less than half of the log's girth was seen over most of its length; the far side cannot be "
           "guessed well enough to saw by. Walk all the way round the log and scan it again.";
  }
  std::string operator()(const scan::UnseenStretch& fact) const {
    return "Between " + bare_place(fact.begin_m) + " and " + place(fact.end_m) +
           " from the small end the scan saw less than half of the girth; the plan keeps a wide distance "
           "there.";
  }
  std::string operator()(const scan::Seam& seam) const {
    const std::string text =
        side_of(seam.theta_rad) + " between " + bare_place(seam.begin_m) + " and " + place(seam.end_m) +
        " from the small end " +
        (seam.kind == scan::Seam::Kind::doubled ? "the bark shows twice, " + length(seam.apart_m) + " apart"
                                                : "the scan has a step of " + length(seam.apart_m) +
                                                      ", as if the walk round the log did not close");
    return text + (scan::spoils_the_scan(seam)
                       ? ", so it is not known where the log's surface lies. Scan it again: walk slowly, and "
                         "go on for a few steps past the place where you began."
                       : ". The plan follows the surface between; measure the log there with a tape before "
                         "you saw.");
  }

  std::string operator()(const scan::BarkNotGiven& fact) const {
    const bool measured = fact.source.kind == BarkSource::Kind::ends;
    return (measured ? "The bark thickness is read off the scan: " : "The bark thickness is assumed: ") +
           length(fact.thickness_m) + ", give or take " + length(2 * fact.sigma_m) + " (" +
           words(fact.source) + "); measure it at both ends and give it to gain boards.";
  }
  std::string operator()(const scan::BarkDiffers& fact) const {
    return "The ends in the scan show bark of about " + length(fact.at_ends_m) + ", but " +
           (fact.is_given ? "you gave " : "usual for the species are ") + length(fact.other_m) +
           "; the plan takes " + (fact.is_given ? "yours" : "what the ends show") +
           ". Measure the bark at both ends to be sure.";
  }

 private:
  /// Never nothing: two scans do not agree exactly.
  std::string at_least_one(double length_m) const { return length(std::max(length_m, 1 / kMmAMetre)); }
  static std::string significant(double factor) {
    constexpr double kFineness = 1e4;
    const double step = std::pow(10, std::floor(std::log10(factor))) / kFineness;
    return plain(std::round(factor / step) * step, 6);
  }
};

}  // namespace

std::string words(const scan::ScanFact& fact, Units units, const std::vector<std::string>& scan_names) {
  return std::visit(ScanWords{units, scan_names}, fact);
}

std::string words(const FileFormat& format) {
  constexpr std::array kCodings = {
      "", ", ASCII", ", binary", ", binary little endian", ", binary big endian", ", binary compressed"};
  using Kind = FileFormat::Kind;
  std::string text = format_name(format.kind) + (format.version.empty() ? "" : ' ' + format.version) +
                     kCodings.at(static_cast<std::size_t>(format.coding));
  if (format.kind == Kind::depth_images) {
    text = scan::grouped(format.parts) + ' ' + text;
  }
  if (format.without_pose > 0) {
    text += " (" + scan::grouped(format.without_pose) + " more have no pose)";
  }
  if (format.kind == Kind::e57 && format.parts != 1) {
    text += ", " + scan::grouped(format.parts) + " scans";
  }
  if (format.triangles > 0) {
    text += ", mesh of " + scan::grouped(format.triangles) + " triangles";
  }
  return text + (format.kind == Kind::obj && format.triangles == 0 ? ", points" : "");
}

std::string words(const scan::ScaleSource& source, Units units) {
  using Kind = scan::ScaleSource::Kind;
  switch (source.kind) {
    case Kind::given_unit:
      return "the file's unit as given";
    case Kind::file_format:
      return "the file, as " + format_name(source.format) + " is in metres";
    case Kind::tape:
      return "the log's length by tape, " + length_text(units, source.length_m);
    case Kind::points:
      return "two points " + length_text(units, source.length_m) + " apart";
    case Kind::taken_as_metres:
      return "the file's unit taken as metres";
    case Kind::unsettled:
      break;
  }
  return "";
}

std::string words(const scan::UpSource& source) {
  using Kind = scan::UpSource::Kind;
  switch (source.kind) {
    case Kind::given:
      return "given: " + source.axis + " axis";
    case Kind::file_format:
      return "the file, as " + format_name(source.format) + " has y up: " + source.axis + " axis";
    case Kind::ground:
      return "the ground: the file's " + source.axis + " axis";
    case Kind::ground_itself:
      return "the ground itself, taken as level: no axis of the file is near to up";
    case Kind::assumed:
      return "assumed, as the scan shows no ground: the file's " + source.axis + " axis";
    case Kind::unsettled:
      break;
  }
  return "";
}

std::string words(const BarkSource& source) {
  using Kind = BarkSource::Kind;
  switch (source.kind) {
    case Kind::given:
      return "given";
    case Kind::ends:
      return "measured at the ends in the scan";
    case Kind::equations:
      return source.species + ": " + source.citation +
             (source.equations > 1 ? " and " + std::to_string(source.equations - 1) + " more, averaged" : "");
    case Kind::volume_share:
      return source.species + ": from the bark's share of the volume, USDA Forest Service";
    case Kind::all_species:
      break;
  }
  return "assumed: mean over " + std::to_string(source.equations) +
         " published bark equations, the species is not known";
}

std::string words(const DensitySource& source) {
  return source.species.empty() ? "assumed: mean over " + std::to_string(source.averaged) + " species, green"
                                : source.species + ": green, USDA Forest Service";
}

std::string words(const ShrinkageSource& source) {
  constexpr std::array kDoubts = {"", " (figure confirmed in a second text, not in the table)",
                                  " (figure from memory, checked in no text: saw a trial board first)"};
  const std::string table = "USDA Wood Handbook, FPL-GTR-190, Table 4-3, ";
  return source.species.empty() ? table + "the largest of all species, as the species is not known"
                                : table + source.species + kDoubts.at(static_cast<std::size_t>(source.read));
}

}  // namespace flitchwise::report
