#pragma once
// What a study comes to before anything is solved: every variant checked, its cost, and which share
// of the work it belongs to.

#include "cases/study/share.hpp"
#include "cases/study/study.hpp"

#include <string>
#include <vector>

namespace tiltfin {

struct PlannedVariant {
  int number = 0;
  int n_conditions = 0;   ///< listed ones
  double seconds = 0.0;   ///< of one core, expected (cases/check/cost.hpp)
  std::string refusal{};  ///< why it is impossible; "": it is not
  std::string case_crc32; ///< what its files are known by
};

struct StudyPlan {
  std::vector<PlannedVariant> variants; ///< all of them
  int n_conditions = 0;
  double seconds = 0.0;     ///< of one core
  bool adds_powers = false; ///< to those that are listed
};

/// How variants are to be solved, as far as costs depend on it.
struct StudyWork {
  bool examine_stability = true;
  bool adds_powers = true;
};

/// Makes every variant once. Throws InputError when all are impossible, with the first reason.
[[nodiscard]] StudyPlan plan_study(const Study& study, const StudyWork& work);

/// The numbers of a share's possible variants: shares of equal expected cost, in which every
/// variant is in exactly one; those that cost most first. Depends on the study and `of` alone.
[[nodiscard]] std::vector<int> variants_in(const StudyPlan& plan, const Share& share);

/// Expected seconds of one core of a share.
[[nodiscard]] double seconds_of(const StudyPlan& plan, const Share& share);

/// What is said of a study before it is solved: variants, conditions, hours, bytes, and what cannot
/// be. `threads`: of this machine.
[[nodiscard]] std::string plan_text(const Study& study, const StudyPlan& plan, int threads);

} // namespace tiltfin
