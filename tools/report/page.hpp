#pragma once
/// plan.html and look.html: one page for a browser with everything in it, to look at on the desk or at the
/// log without any network. The page itself (tools/page/) is bundled when the program is built; this fills it
/// with the plan. A build without Node.js has no page.

#include <string>
#include <vector>

#include "scan/model/log_model.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::report {

/// Whether this build has the page.
bool page_available();

/// plan.html: 3D view, steps, drawings and tables of a plan. Its numbers are those of plan_json and its steps
/// those of sheet_pdf. Throws BadUse unless the report can be reported and page_available().
std::string page_html(const Report& report);

/// look.html: the same page of a log that is not planned yet. `look`: what `flitchwise look` prints. Throws
/// BadUse unless log.find_error() is empty and page_available().
std::string look_page_html(const ScanInfo& scan, const LogModel& log, const SeenPoints& points,
                           const std::string& look, const std::vector<Fact>& warnings);

}  // namespace flitchwise::report
