#include "tools/yard/wishes.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

namespace flitchwise::yard {
namespace {

using solver::Pattern;
using solver::Target;

/// One board that goes first outweighs what any log holds of the others, or nearly so: the search needs no
/// strict order, the allocation judges what comes out.
constexpr double kGoesFirst = 100;

using Indices = std::vector<std::size_t>;

double volume_of(const Target& target) {
  return target.thickness_m * target.width_m * target.length_m;
}

class Wishes {
 public:
  Wishes(const PlanJob& job, const LogModel& log) : job_(job) {
    all_.resize(job.targets.size());
    std::iota(all_.begin(), all_.end(), std::size_t{0});
    std::copy_if(all_.begin(), all_.end(), std::back_inserter(fitting_),
                 [&](std::size_t i) { return job.targets[i].length_m <= log.usable_length_m(); });
    std::stable_sort(fitting_.begin(), fitting_.end(),
                     [&](std::size_t a, std::size_t b) { return job.priorities[a] < job.priorities[b]; });
    double shortest_m = log.usable_length_m();
    for (const std::size_t i : fitting_) {
      shortest_m = std::min(shortest_m, job.targets[i].length_m);
    }
    can_be_cut_ = !fitting_.empty() && 2 * shortest_m < log.usable_length_m();
  }

  std::vector<Wish> made() {
    const Pattern pattern = job_.search.pattern;
    add({"most value", all_, values_of(all_), pattern});
    if (fitting_.empty()) {
      return wishes_;
    }
    add({"most value by priority", fitting_, by_priority(), pattern, false, true});
    if (job_.all_patterns) {
      add({"most value, with a cant", fitting_, values_of(fitting_), Pattern::cant});
    }
    if (can_be_cut_) {
      add({"most value, cut in two first", fitting_, values_of(fitting_), pattern, true});
    }
    add({"most wood in boards", fitting_, volumes(), pattern, false, true});
    add({"most boards", fitting_, std::vector<double>(fitting_.size(), 1), pattern, false, true});
    for (std::size_t at = 0; fitting_.size() > 1 && at < fitting_.size(); ++at) {
      add_first(at);
    }
    add_lengths();
    if (can_be_cut_) {
      add({"most wood in boards, cut in two first", fitting_, volumes(), pattern, true, true});
    }
    for (const std::size_t i : fitting_) {
      add({"nothing but " + job_.targets[i].name, {i}, values_of({i}), pattern});
    }
    return wishes_;
  }

 private:
  std::vector<double> values_of(const Indices& targets) const {
    std::vector<double> values;
    for (const std::size_t i : targets) {
      values.push_back(job_.targets[i].value);
    }
    return values;
  }

  std::vector<double> volumes() const {
    std::vector<double> values;
    for (const std::size_t i : fitting_) {
      values.push_back(volume_of(job_.targets[i]));
    }
    return values;
  }

  std::vector<double> by_priority() const {
    std::vector<double> values = values_of(fitting_);
    const int last = job_.priorities[fitting_.back()];
    const int first = job_.priorities[fitting_.front()];
    for (std::size_t at = 0; at < values.size(); ++at) {
      // No more than two steps, or the least valuable would be lost in rounding.
      const int steps = std::min(last - job_.priorities[fitting_[at]], std::min(last - first, 2));
      values[at] *= std::pow(kGoesFirst, steps);
    }
    return values;
  }

  void add_first(std::size_t at) {
    std::vector<double> values = values_of(fitting_);
    const double most = *std::max_element(values.begin(), values.end());
    values[at] = most * kGoesFirst;
    add({"most " + job_.targets[fitting_[at]].name + ", the rest as it comes", fitting_, values,
         job_.search.pattern, false, true});
  }

  void add_lengths() {
    std::set<double> lengths;
    for (const std::size_t i : fitting_) {
      lengths.insert(job_.targets[i].length_m);
    }
    for (const double length_m : lengths) {
      Indices those;
      std::copy_if(fitting_.begin(), fitting_.end(), std::back_inserter(those),
                   [&](std::size_t i) { return job_.targets[i].length_m == length_m; });
      add({"boards of one length", those, values_of(those), job_.search.pattern});
    }
  }

  /// Unless it asks for what another one asks for already.
  void add(Wish wish) {
    constexpr double kSame = 1e-9;  // of the values' ratios, which come from a product or two
    const auto asks_the_same = [&](const Wish& other) {
      if (other.targets != wish.targets || other.pattern != wish.pattern ||
          other.cut_first != wish.cut_first) {
        return false;
      }
      const double ratio = wish.values.front() / other.values.front();
      for (std::size_t i = 0; i < wish.values.size(); ++i) {
        if (std::abs(wish.values[i] / other.values[i] - ratio) > kSame * ratio) {
          return false;
        }
      }
      return true;
    };
    if (wishes_.size() < static_cast<std::size_t>(job_.most_plans) &&
        std::none_of(wishes_.begin(), wishes_.end(), asks_the_same)) {
      wishes_.push_back(std::move(wish));
    }
  }

  const PlanJob& job_;
  Indices all_;
  Indices fitting_;  // no longer than the log; those of higher priority first
  bool can_be_cut_ = false;
  std::vector<Wish> wishes_;
};

}  // namespace

std::vector<Wish> wishes_for(const PlanJob& job, const LogModel& log) {
  return Wishes(job, log).made();
}

}  // namespace flitchwise::yard
