#pragma once
/// Facts in tests.

#include <catch2/catch.hpp>
#include <optional>
#include <variant>
#include <vector>

#include "scan/model/scan_facts.hpp"

namespace flitchwise::testing {

/// The fact as this kind; fails the test if it is another one.
template <typename Kind>
const Kind& fact_as(const scan::ScanFact& fact) {
  CAPTURE(fact.index());
  REQUIRE(std::holds_alternative<Kind>(fact));
  return std::get<Kind>(fact);
}

template <typename Kind>
const Kind& fact_as(const std::optional<scan::ScanFact>& fact) {
  REQUIRE(fact);
  return fact_as<Kind>(*fact);
}

/// The only one.
template <typename Kind>
const Kind& fact_as(const std::vector<scan::ScanFact>& facts) {
  REQUIRE(facts.size() == 1);
  return fact_as<Kind>(facts.front());
}

}  // namespace flitchwise::testing
