// Plans a log and a yard with the installed library, without the command line:
//   plan_a_log YARD_FOLDER SCAN ORDER OUT_FOLDER
#include <flitchwise/scan/model/errors.hpp>
#include <flitchwise/solver/allocate/order_file.hpp>
#include <flitchwise/solver/plan/board_size.hpp>
#include <flitchwise/tools/job/plan_log.hpp>
#include <flitchwise/tools/report/fact_words.hpp>
#include <flitchwise/tools/yard/words.hpp>
#include <flitchwise/tools/yard/yard.hpp>
#include <iostream>

namespace {

flitchwise::PlanRequest request_for(const std::string& scan) {
  flitchwise::PlanRequest request;
  request.scan.files = {{scan}};
  request.scan.species = "larch";
  request.targets = {flitchwise::solver::board_size("50x150x3000")};
  request.search.most_nodes = 50;  // a plan, if not always the proof that it is the best one
  request.advice_time_s = 0;
  return request;
}

int plan_log(const std::string& scan) {
  const flitchwise::PlannedLog planned = flitchwise::plan_log(request_for(scan));
  if (planned.outcome != flitchwise::PlannedLog::Outcome::done) {
    std::cerr << flitchwise::report::words(*planned.message, flitchwise::report::Units::millimetres) << '\n';
    return 1;
  }
  std::cout << "log: " << planned.plan.boards.size() << " boards, " << planned.sheet.cuts.size() << " cuts\n";
  return 0;
}

int plan_yard(const std::string& folder, const std::string& order, const std::string& out) {
  flitchwise::yard::YardRequest request;
  request.folder = folder;
  request.order = flitchwise::solver::read_order(std::filesystem::path(order));
  request.scan = request_for("").scan;
  request.scan.files.clear();
  request.search.most_nodes = 50;
  request.all_patterns = false;
  request.most_plans = 2;
  request.out = out;
  const flitchwise::yard::YardResult result = flitchwise::yard::plan_yard(request);
  std::cout << "yard: " << flitchwise::yard::allocation_words(result.allocation) << '\n';
  for (const auto& shortage : result.shortages) {
    std::cout << flitchwise::yard::shortage_words(request.order, shortage) << '\n';
  }
  return result.allocated ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 5) {
    std::cerr << "usage: plan_a_log YARD_FOLDER SCAN ORDER OUT_FOLDER\n";
    return 1;
  }
  try {
    const int failed = plan_log(argv[2]);
    return failed != 0 ? failed : plan_yard(argv[1], argv[3], argv[4]);
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 2;
  }
}
