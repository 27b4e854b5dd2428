#include "post/fits/warm_up.hpp"
#include "tests/catch.hpp"

#include <cmath>

namespace tiltfin::tests {

TEST_CASE("Warm-up: one time constant leaves 1/e, the settling time 1 %", "[warm_up]") {
  const WarmUp warm_up{.start_k = 10.0, .end_k = 50.0, .time_constant_s = 600.0};
  CHECK(warm_up.rise_k(0.0) == 10.0);
  CHECK_THAT(warm_up.rise_k(600.0), WithinRel(50.0 - 40.0 / std::exp(1.0), 1e-12));
  CHECK_THAT(warm_up.rise_k(settling_time(600.0)), WithinRel(49.6, 1e-12));
  CHECK_THAT(settling_time(600.0), WithinRel(600.0 * std::log(100.0), 1e-12));
}

TEST_CASE("Warm-up: a soak that is too short says how long it should be", "[warm_up]") {
  // 25 min times ln 100 is 115.13 min.
  CHECK(soak_length_text(30.0, 1500.0) ==
        "30 min are 1.2 time constants of this cooler; a soak of 116 min settles to 1 %");
  CHECK(soak_length_text(120.0, 1500.0) == "120 min are 4.8 time constants of this cooler, enough "
                                           "for 1 % (115 min): it drifts for another reason");
  CHECK_THAT(soak_length_text(120.0, 1500.0, true),
             ContainsSubstring("at most 4.8") && ContainsSubstring("at least 116 min"));
}

TEST_CASE("Warm-up: a drawing takes means evenly, of a short log all", "[warm_up]") {
  std::vector<SoakMean> means;
  for (int k = 0; k < 600; ++k) {
    means.push_back({.time_s = 60.0 * k});
  }
  const std::vector<SoakMean> drawn = thinned(means, 60);
  REQUIRE(drawn.size() == 60);
  CHECK(drawn[1].time_s - drawn[0].time_s == 600.0);
  CHECK(thinned(std::span(means).first(7), 60).size() == 7);
  CHECK(thinned({}, 60).empty());
}

} // namespace tiltfin::tests
