#pragma once
/// A yard of logs against an order, as `flitchwise yard` does it: yard::plan_yard() of the library
/// flitchwise::yard.

#include "yard/yard.hpp"  // IWYU pragma: export
