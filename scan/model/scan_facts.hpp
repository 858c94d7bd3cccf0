#pragma once
/// What scan/ has to tell: why a scan will not do, and what to mind of one that will. A struct a kind, with
/// its quantities; tools/report/scan_words.hpp makes words of them.

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "scan/model/fields.hpp"
#include "scan/model/sources.hpp"

namespace flitchwise::scan {

// Of the file.
/// A picture with a mesh's colours is missing or damaged.
struct PictureMissing {
  std::string name;  ///< as the mesh has it; its number there if it has none
};
FLITCHWISE_FIELDS(PictureMissing, name)

/// The file with a mesh's materials is missing.
struct MaterialsMissing {
  std::string name;  ///< as the mesh has it
};
FLITCHWISE_FIELDS(MaterialsMissing, name)

/// Points without finite coordinates were left out.
struct PointsSkipped {
  std::uint64_t points = 0;
};
FLITCHWISE_FIELDS(PointsSkipped, points)

// Of several scans of one log. `scan` counts from 0 in the order in which they were given.
/// How well they agree.
struct ScansMerged {
  std::size_t scans = 0;
  double apart_m = 0;       ///< between the surfaces of the worst pair
  double shared_share = 0;  ///< of the log's surface, in the pair that shares least
};
FLITCHWISE_FIELDS(ScansMerged, scans, apart_m, shared_share)

/// The best place that was found for a scan, beside what is wanted.
struct BestPlace {
  double overlap_share = 0;  ///< of the log, seen by both
  double least_overlap_share = 0;
  double same_share = 0;  ///< of that, on one surface
  double least_same_share = 0;
  double residual_m = 0;  ///< between the surfaces
  double most_residual_m = 0;
  std::optional<double> beside_share;  ///< of what stands beside the log, the same; if that is what is wrong
};
FLITCHWISE_FIELDS(BestPlace, overlap_share, least_overlap_share, same_share, least_same_share, residual_m,
                  most_residual_m, beside_share)

/// One shows another log, or the log lay elsewhere.
struct ScanUnlike {
  std::size_t scan = 0;
  std::optional<BestPlace> best = {};
};
FLITCHWISE_FIELDS(ScanUnlike, scan, best)

/// One could slide along the log or turn about it.
struct ScanAmbiguous {
  std::size_t scan = 0;
};
FLITCHWISE_FIELDS(ScanAmbiguous, scan)

/// One shares too little of the log with the others.
struct ScanBends {
  std::size_t scan = 0;
  double bend_m = 0;  ///< by which the log could come out bent
  double most_bend_m = 0;
};
FLITCHWISE_FIELDS(ScanBends, scan, bend_m, most_bend_m)

/// One would fit at another scale.
struct ScanScaled {
  std::size_t scan = 0;
  double factor = 1;  ///< by which it would have to grow
};
FLITCHWISE_FIELDS(ScanScaled, scan, factor)

/// One has another size altogether.
struct ScanOtherSize {
  std::size_t scan = 0;
  double ratio = 1;  ///< its size over that of the others
};
FLITCHWISE_FIELDS(ScanOtherSize, scan, ratio)

// Of scale and up.
/// The scale rests on the file alone.
struct ScaleUnchecked {
  double length_m = 0;  ///< of the log, by the scan
};
FLITCHWISE_FIELDS(ScaleUnchecked, length_m)

/// Neither the person nor the ground said which way is up.
struct UpAssumed {
  UpSource source;
};
FLITCHWISE_FIELDS(UpAssumed, source)

/// The whole scene has a size that no scan of a log has.
struct SceneOfOtherSize {
  double width_m = 0;  ///< by the unit that was taken
};
FLITCHWISE_FIELDS(SceneOfOtherSize, width_m)

/// The log would be longer than any that is milled.
struct LogTooLong {
  double length_m = 0;
};
FLITCHWISE_FIELDS(LogTooLong, length_m)

/// The scene holds a log only if the file has another unit.
struct LogOfOtherUnit {
  double thickness_m = 0;  ///< by the unit that was taken, as is the length
  double length_m = 0;
  double metres_per_unit = 0;  ///< of the unit that would do; 0: none that files have
};
FLITCHWISE_FIELDS(LogOfOtherUnit, thickness_m, length_m, metres_per_unit)

/// The two points of known distance do not both lie in the scan.
struct ScalePointsOutside {};
FLITCHWISE_NO_FIELDS(ScalePointsOutside)

/// No log has the length by tape.
struct NoLogOfTapeLength {};
FLITCHWISE_NO_FIELDS(NoLogOfTapeLength)

/// All points lie in one place, so that no tape can give them a scale.
struct NoExtent {};
FLITCHWISE_NO_FIELDS(NoExtent)

// Of the log in the scene.
/// Nothing in the scene is a log.
struct NoLog {
  double least_length_m = 0;  ///< of what is taken for a log, as the next two
  double least_diameter_m = 0;
  double most_diameter_m = 0;
};
FLITCHWISE_FIELDS(NoLog, least_length_m, least_diameter_m, most_diameter_m)

/// No log lies at the point that the person gave.
struct NoLogNear {
  double reach_m = 0;  ///< within which one was looked for
};
FLITCHWISE_FIELDS(NoLogNear, reach_m)

/// Another log was seen nearly as well.
struct RivalLog {
  double length_m = 0;                                      ///< of the one that was taken, as is the diameter
  double small_end_diameter_m = 0;                          ///< over bark
  Eigen::Vector3d rival_in_file = Eigen::Vector3d::Zero();  ///< a point of the other one, file's coordinates
  double metres_per_unit = 1;                               ///< of that file
};
FLITCHWISE_FIELDS(RivalLog, length_m, small_end_diameter_m, rival_in_file, metres_per_unit)

/// What ends the part of a log from which boards can come.
enum class Flaw { fork, kink, gap };

/// The log was cut back at a flaw.
struct CutBack {
  Flaw flaw = Flaw::fork;
  double from_end_m = 0;        ///< to the flaw, from the end that is left
  bool from_small_end = false;  ///< which one that is
};
FLITCHWISE_FIELDS(CutBack, flaw, from_end_m, from_small_end)

/// Flaws leave no piece long enough for boards.
struct TooLittleSound {
  Flaw flaw = Flaw::fork;
};
FLITCHWISE_FIELDS(TooLittleSound, flaw)

/// The scan shows the log from one side only.
struct OneSideSeen {};
FLITCHWISE_NO_FIELDS(OneSideSeen)

/// The scan shows no sawn face at these ends.
struct EndNotSeen {
  bool small_end = false;
  bool large_end = false;
};
FLITCHWISE_FIELDS(EndNotSeen, small_end, large_end)

/// An end was not seen, and the plan covers what was.
struct PartPlanned {};
FLITCHWISE_NO_FIELDS(PartPlanned)

// Of the log's shape.
/// Too few points lie on the log.
struct TooFewPoints {
  std::uint64_t points = 0;
  std::uint64_t least = 0;  ///< that are needed
};
FLITCHWISE_FIELDS(TooFewPoints, points, least)

/// The points on the log close to no round surface.
struct NoRoundSurface {};
FLITCHWISE_NO_FIELDS(NoRoundSurface)

/// What was found is thinner than any log that is sawn.
struct TooThin {
  double diameter_m = 0;
};
FLITCHWISE_FIELDS(TooThin, diameter_m)

/// The fitted shape is none that a plan can be made from.
struct NoSoundShape {};
FLITCHWISE_NO_FIELDS(NoSoundShape)

/// The points scatter too far off the surface.
struct NoClearSurface {
  double scatter_m = 0;  ///< 1 sigma
};
FLITCHWISE_FIELDS(NoClearSurface, scatter_m)

/// The points scatter more than they need to.
struct CoarseScan {
  double scatter_m = 0;  ///< 1 sigma
};
FLITCHWISE_FIELDS(CoarseScan, scatter_m)

/// Over most of the length less than half of the girth was seen.
struct HalfUnseen {};
FLITCHWISE_NO_FIELDS(HalfUnseen)

/// A stretch where less than half of the girth was seen.
struct UnseenStretch {
  double begin_m = 0;  ///< along the log, from the small end
  double end_m = 0;
};
FLITCHWISE_FIELDS(UnseenStretch, begin_m, end_m)

/// A stretch of the log where the scan does not fit onto itself. Log frame.
struct Seam {
  enum class Kind { doubled, step };
  Kind kind = Kind::doubled;
  double begin_m = 0;  ///< along the log, from the small end
  double end_m = 0;
  double theta_rad = 0;  ///< middle of it round the log
  double arc_rad = 0;    ///< how far round the log it reaches; 0 for a step that runs along the log
  double apart_m = 0;    ///< between the two surfaces, or the height of the step
};
FLITCHWISE_FIELDS(Seam, kind, begin_m, end_m, theta_rad, arc_rad, apart_m)

// Of the bark.
/// The thickness was not given by the person.
struct BarkNotGiven {
  double thickness_m = 0;
  double sigma_m = 0;
  BarkSource source;
};
FLITCHWISE_FIELDS(BarkNotGiven, thickness_m, sigma_m, source)

/// The ends show another bark than the person or the species says.
struct BarkDiffers {
  double at_ends_m = 0;
  double other_m = 0;
  bool is_given = false;  ///< the other one, which the plan then takes; else what the ends show is taken
};
FLITCHWISE_FIELDS(BarkDiffers, at_ends_m, other_m, is_given)

using ScanFact =
    std::variant<PictureMissing, MaterialsMissing, PointsSkipped, ScansMerged, ScanUnlike, ScanAmbiguous,
                 ScanBends, ScanScaled, ScanOtherSize, ScaleUnchecked, UpAssumed, SceneOfOtherSize,
                 LogTooLong, LogOfOtherUnit, ScalePointsOutside, NoLogOfTapeLength, NoExtent, NoLog,
                 NoLogNear, RivalLog, CutBack, TooLittleSound, OneSideSeen, EndNotSeen, PartPlanned,
                 TooFewPoints, NoRoundSurface, TooThin, NoSoundShape, NoClearSurface, CoarseScan, HalfUnseen,
                 UnseenStretch, Seam, BarkNotGiven, BarkDiffers>;

}  // namespace flitchwise::scan
