#pragma once
/// What `flitchwise yard` says of a run.

#include "tools/yard/yard.hpp"

namespace flitchwise {

/// The answer on stdout; notes and what it took, which differs from run to run, on stderr.
void tell(const yard::YardRequest& request, const yard::YardResult& result);
/// Of a run that was stopped, on stderr.
void tell_stopped(const yard::YardRequest& request, const yard::YardResult& result);
/// How to go on after `what`, "stopped", on stderr.
void tell_how_to_go_on(const yard::YardRequest& request, const std::string& what);
/// Progress goes to stderr, for as long as `result` lives.
yard::YardListener progress_listener();

}  // namespace flitchwise
