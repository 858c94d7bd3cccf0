#pragma once
/// The options that commands share, in groups. Each writes into a part of a request, which must outlive the
/// parsing; BadUse names the option, what was written and what may be.

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "scan/model/shrinkage.hpp"
#include "solver/setup/kit_file.hpp"
#include "tools/app/options.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/report/report.hpp"

namespace flitchwise {

/// The boards that are wanted: what they are in the end depends on several options.
struct WantedBoards {
  std::vector<std::string> sizes;  ///< rough
  std::vector<std::string> dry;    ///< dry and planed
  GreenSizeOptions green;
};

/// The scan itself and what holds for it alone.
void add_scan_options(CLI::App& command, ScanRequest& scan);
/// What can hold for many scans of one kind.
void add_kind_options(CLI::App& command, ScanRequest& scan);
void add_board_options(CLI::App& command, WantedBoards& wanted);
/// How a log is cut up.
void add_cutting_options(CLI::App& command, solver::SearchOptions& search, double& wane_share);
void add_pith_option(CLI::App& command, PithByTape& pith);
/// How a plan is written down.
void add_paper_options(CLI::App& command, report::Settings& settings);

/// The person's equipment. `Request`: of a plan or of a yard.
template <typename Request>
void add_kit_options(CLI::App& command, Request& request) {
  add_text(
      command, "--kit", request.kit,
      [](const std::string& file, const std::string& /*name*/) { return solver::read_kit(file); },
      "Your equipment: a kit file (TOML); a plain kit is assumed without one");
  add_number<&Request::kerf_m>(command, "--kerf", request, "Width of the saw cut in mm, if not the kit's");
}

/// Works out the targets and says in the notes how. Throws BadUse if there is none.
void set_targets(const WantedBoards& wanted, double wane_share, PlanRequest& request);

}  // namespace flitchwise
