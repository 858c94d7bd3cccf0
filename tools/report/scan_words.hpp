#pragma once
/// What scan/ has to tell, in words. They name no option of a command: see ask.hpp.

#include <string>
#include <vector>

#include "scan/model/scan_facts.hpp"
#include "scan/model/sources.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::report {

/// Sentences, the last one with its full stop. `scan_names`: of the files that were given, in their order;
/// those that are missing are named by their number.
std::string words(const scan::ScanFact& fact, Units units, const std::vector<std::string>& scan_names = {});

/// "PLY, binary little endian", "STL, ASCII, mesh of 5,952 triangles"; empty if it is not known.
std::string words(const scan::FileFormat& format);
/// "the log's length by tape, 4120 mm"; empty if it is unsettled.
std::string words(const scan::ScaleSource& source, Units units);
/// "the ground: the file's +z axis"; empty if it is unsettled.
std::string words(const scan::UpSource& source);
/// "given", "Larch, western: ...".
std::string words(const BarkSource& source);
std::string words(const DensitySource& source);
std::string words(const ShrinkageSource& source);

}  // namespace flitchwise::report
