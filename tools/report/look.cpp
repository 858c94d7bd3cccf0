#include "tools/report/look.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "scan/model/volume.hpp"
#include "tools/report/coverage.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/report/plain_text.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/scan_words.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise::report {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double kNoteworthySweep_m = 0.003;  // less is within what a scan knows
constexpr std::size_t kMostKnotsNamed = 6;    // a line stays a line
constexpr double kPointsAThousand = 1000;

std::string line(const std::string& label, const std::string& text) {
  constexpr std::size_t kLabelWidth = 10;
  return wrapped(text, label + std::string(kLabelWidth - label.size(), ' '));
}

std::string count_text(std::uint64_t count) {
  if (count < static_cast<std::uint64_t>(kPointsAThousand)) {
    return std::to_string(count);
  }
  const double thousands = static_cast<double>(count) / kPointsAThousand;
  return thousands < kPointsAThousand ? fixed(thousands, 0) + " thousand"
                                      : fixed(thousands / kPointsAThousand, 1) + " million";
}

std::string scan_line(const ScanInfo& scan) {
  const std::string format = words(scan.format);
  std::string text =
      scan.file + (format.empty() ? "" : ": " + format) + ", " + count_text(scan.points_read) + " points";
  if (const std::string scale = words(scan.scale_source, Units::millimetres); !scale.empty()) {
    text += "; scale from " + scale;
  }
  if (const std::string up = words(scan.up_source); !up.empty()) {
    text += "; up from " + up;
  }
  return line("Scan", text);
}

std::string metres(double x_m) {
  return fixed(x_m, 1) + " m";
}

std::string log_line(const LogModel& log) {
  return line("Log", mm(log.length_m) + " mm long; over bark " + mm(log.small_end_diameter_m()) +
                         " mm thick at the small end, " + mm(log.large_end_diameter_m()) +
                         " mm at the large end; bark " + mm(log.bark_m) + " mm (" + words(log.bark_source) +
                         ")");
}

/// Slope of the least-squares line through the diameters, metres a metre.
double taper(const LogModel& log) {
  double mean_x = 0;
  double mean_d = 0;
  const double n = static_cast<double>(log.stations.size());
  for (std::size_t i = 0; i < log.stations.size(); ++i) {
    mean_x += log.stations[i].x_m / n;
    mean_d += log.bark_diameter_m(i) / n;
  }
  double xx = 0;
  double xd = 0;
  for (std::size_t i = 0; i < log.stations.size(); ++i) {
    const double dx = log.stations[i].x_m - mean_x;
    xx += dx * dx;
    xd += dx * (log.bark_diameter_m(i) - mean_d);
  }
  return xd / xx;
}

/// "left", "upper left", "top": where a point of a section lies from its middle (y left, z up).
std::string side_of(const Eigen::Vector2d& offset) {
  constexpr std::array<const char*, 8> kNames = {"left",  "upper left",  "top",       "upper right",
                                                 "right", "lower right", "underside", "lower left"};
  const double eighths = kNames.size() * std::atan2(offset.y(), offset.x()) / (2 * pi);
  const auto count = static_cast<long>(kNames.size());
  return kNames.at(static_cast<std::size_t>((std::lround(eighths) + count) % count));
}

std::string sweep_text(const LogModel& log) {
  const Station& first = log.stations.front();
  const Station& last = log.stations.back();
  Eigen::Vector2d most = Eigen::Vector2d::Zero();
  double at_m = 0;
  for (const Station& s : log.stations) {
    const double u = s.x_m / last.x_m;
    const Eigen::Vector2d off = s.centre_m - (1 - u) * first.centre_m - u * last.centre_m;
    if (off.norm() > most.norm()) {
      most = off;
      at_m = s.x_m;
    }
  }
  if (most.norm() < kNoteworthySweep_m) {
    return "straight (the centreline leaves the straight line by " + mm(most.norm()) + " mm)";
  }
  return "sweep " + mm(most.norm()) + " mm, bowed towards the " + side_of(most) + ", most at " +
         metres(at_m) + " from the small end";
}

/// Largest over smallest width of the wood's outline, over all directions. The bark's would show every stub.
double ovality(const Station& station) {
  const Eigen::MatrixX2d outline = planning_outline_m(station, 0);
  constexpr int kDirections = 90;  // every two degrees
  double least = std::numeric_limits<double>::max();
  double most = 0;
  for (int i = 0; i < kDirections; ++i) {
    const double angle = pi * i / kDirections;
    const Eigen::VectorXd along = outline * Eigen::Vector2d(std::cos(angle), std::sin(angle));
    const double width = along.maxCoeff() - along.minCoeff();
    least = std::min(least, width);
    most = std::max(most, width);
  }
  return most / least;
}

std::string shape_line(const LogModel& log) {
  std::vector<double> ovalities;
  for (const Station& s : log.stations) {
    ovalities.push_back(ovality(s));
  }
  const auto largest = std::max_element(ovalities.begin(), ovalities.end());
  const double at_m = log.stations[static_cast<std::size_t>(largest - ovalities.begin())].x_m;
  const double most = *largest;
  std::nth_element(ovalities.begin(), ovalities.begin() + static_cast<long>(ovalities.size() / 2),
                   ovalities.end());
  return line("Shape", "taper " + mm(taper(log)) + " mm a metre; " + sweep_text(log) +
                           "; widest over narrowest diameter " + fixed(ovalities[ovalities.size() / 2], 2) +
                           ", at most " + fixed(most, 2) + " at " + metres(at_m));
}

/// Root mean square of twice the bark's sigma over the samples that were seen, or were not.
double two_sigma_m(const LogModel& log, bool seen) {
  double sum = 0;
  double count = 0;
  for (const Station& s : log.stations) {
    for (std::size_t k = 0; k < s.seen.size(); ++k) {
      if ((s.seen[k] != 0) == seen) {
        sum += s.bark_sigma_m[static_cast<Eigen::Index>(k)] * s.bark_sigma_m[static_cast<Eigen::Index>(k)];
        count += 1;
      }
    }
  }
  return count > 0 ? 2 * std::sqrt(sum / count) : 0;
}

std::string seen_line(const LogModel& log) {
  constexpr double kPercent = 100;
  std::string text = fixed(kPercent * log.seen_share(), 0) + " % of the bark";
  const auto stretches = unseen_stretches(log);
  for (std::size_t i = 0; i < stretches.size(); ++i) {
    text += (i == 0 ? "; nothing seen " : ", ") + in_words(stretches[i], log.usable_length_m());
  }
  text += std::string("; end faces: small end ") + (log.small_end.seen ? "seen" : "not seen") +
          ", large end " + (log.large_end.seen ? "seen" : "not seen");
  return line("Seen", text);
}

std::string noise_line(const LogModel& log) {
  const double unseen_m = two_sigma_m(log, false);
  return line("Noise", "points scatter by " + mm(log.residual_m, 1) + " mm; the bark is known to within " +
                           mm(two_sigma_m(log, true), 1) + " mm where it was seen" +
                           (unseen_m > 0 ? ", " + mm(unseen_m) + " mm where it was not" : "") +
                           " (19 times in 20)");
}

std::string knots_line(const LogModel& log) {
  if (log.knots.empty()) {
    return line("Knots", "none stand out of the bark that was seen");
  }
  std::string text = std::to_string(log.knots.size()) + " stand out: ";
  for (std::size_t i = 0; i < std::min(log.knots.size(), kMostKnotsNamed); ++i) {
    const Knot& knot = log.knots[i];
    text += (i > 0 ? "; " : "") + metres(knot.x_m) + " " +
            side_of({std::cos(knot.theta_rad), std::sin(knot.theta_rad)}) + ", " + mm(knot.height_m) +
            " mm high";
  }
  if (log.knots.size() > kMostKnotsNamed) {
    text += " and " + std::to_string(log.knots.size() - kMostKnotsNamed) + " more";
  }
  return line("Knots", text);
}

std::string volume_line(const LogModel& log) {
  const LogVolume wood = log_volume(log, Surface::wood);
  const LogVolume bark = log_volume(log, Surface::bark);
  constexpr int kDigits = 3;
  return line("Volume", fixed(wood.integrated_m3, kDigits) + " m3 of wood by its sections (Smalian " +
                            fixed(wood.smalian_m3, kDigits) + ", Huber " + fixed(wood.huber_m3, kDigits) +
                            ", Newton " + fixed(wood.newton_m3, kDigits) + "); " +
                            fixed(bark.integrated_m3, kDigits) + " m3 with its bark");
}

std::string weight_line(const LogModel& log) {
  const double volume_m3 = log_volume(log, Surface::bark).integrated_m3;
  return line("Weight", "about " + fixed(volume_m3 * log.density_kg_m3, 0) + " kg (" +
                            fixed(log.density_kg_m3, 0) + " kg/m3: " + words(log.density_source) + ")");
}

}  // namespace

std::string look_text(const ScanInfo& scan, const LogModel& log, const std::vector<Fact>& warnings,
                      const Hint& hint) {
  std::string text = scan_line(scan) + log_line(log) + shape_line(log) + seen_line(log) + noise_line(log) +
                     knots_line(log) + volume_line(log) + weight_line(log);
  text += line("Verdict", warnings.empty() ? "the scan will do for a plan" : "the scan will do; but mind:");
  for (const Fact& warning : warnings) {
    text += wrapped(with_hint(words(warning, Units::millimetres), warning, hint), "  ! ");
  }
  return text;
}

std::string look_text(const ScanInfo& scan, const std::string& why_not) {
  return scan_line(scan) + line("Verdict", "the scan will not do. " + why_not);
}

}  // namespace flitchwise::report
