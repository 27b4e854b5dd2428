#include "post/fits/soak.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <cstdio>
#include <random>
#include <vector>

namespace tiltfin::tests {
namespace {

/// Means of single minutes with the given rises.
std::vector<SoakMean> minutes_of(const std::vector<double>& rises) {
  std::vector<SoakMean> means;
  for (const double rise : rises) {
    means.push_back({60.0 * (static_cast<double>(means.size()) + 0.5), rise, 20.0, 22.0});
  }
  return means;
}

/// Invented soak: rise = end (1 - exp(-t / tau)), a wandering room (first-order autoregression per
/// minute) and sensor noise.
struct MadeUp {
  double end_k = 40.0;
  double tau_min = 15.0;
  int minutes = 120;
  double wander_k = 0.15;
  double wander_min = 3.0;
  double noise_k = 0.1;
};

std::vector<SoakMean> make_up(const MadeUp& soak, std::mt19937& generator) {
  std::normal_distribution<double> normal;
  const double memory = std::exp(-1.0 / soak.wander_min);
  double wander = normal(generator);
  std::vector<double> rises;
  for (int k = 0; k < soak.minutes; ++k) {
    wander = memory * wander + std::sqrt(1.0 - memory * memory) * normal(generator);
    rises.push_back(soak.end_k * (1.0 - std::exp(-(k + 0.5) / soak.tau_min)) +
                    soak.wander_k * wander + soak.noise_k * normal(generator));
  }
  return minutes_of(rises);
}

} // namespace

TEST_CASE("Minute means: samples of a minute make one mean, empty minutes are counted", "[soak]") {
  MinuteMeans minutes;
  minutes.add(0.0, 1.0, 10.0, 20.0);
  minutes.add(30.0, 3.0, 12.0, 22.0);
  minutes.add(60.0, 5.0, 14.0, 24.0);
  minutes.add(250.0, 7.0, 16.0, 26.0); // minutes 2 and 3 are empty
  const std::vector<SoakMean> means = minutes.means();
  REQUIRE(means.size() == 3);
  CHECK(means[0].rise_k == 2.0);
  CHECK(means[0].power_w == 11.0);
  CHECK(means[0].ambient_c == 21.0);
  CHECK(means[0].time_s == 30.0);
  CHECK(means[1].rise_k == 5.0);
  CHECK(means[2].time_s == 270.0);
  CHECK(minutes.empty_minutes() == 2);
  CHECK(minutes.minutes_per_mean() == 1);
}

TEST_CASE("Minute means: a long log keeps its mean in a bounded number of stretches", "[soak]") {
  MinuteMeans minutes;
  const int n = 100'000; // minutes; stretches of 64 are the first to fit into 2048
  for (int k = 0; k < n; ++k) {
    minutes.add(60.0 * k, k, 1.0, 0.0);
  }
  const std::vector<SoakMean> means = minutes.means();
  CHECK(minutes.minutes_per_mean() == 64);
  CHECK(means.size() == (n + 63) / 64);
  CHECK_THAT(means[0].rise_k, WithinRel(31.5, rounding)); // mean of 0 to 63
  CHECK_THAT(means[10].rise_k, WithinRel(640.0 + 31.5, rounding));
  CHECK_THAT(means[10].time_s, WithinRel(60.0 * (640.0 + 32.0), rounding));
}

TEST_CASE("Soak: a short log reduced by hand", "[soak]") {
  // Two minutes of warming up, then 1 and 3 K in turn, six of each: too rough for an approach to be
  // fitted, so the settled part is the one with the smallest sum of squares over n squared: by hand
  // 12 / 144 for the last twelve, 10.9 / 121 without the first of them, 99 / 169 with one more.
  // Neighbours are opposite, so the correlation counts as zero; mean 2, sum of squares 12, standard
  // error sqrt(12 / 12 / 11), Student's t for 11 degrees 2.2009851601
  // (Abramowitz and Stegun 1964, eq. 26.7.3, solved for t).
  std::vector<double> rises{-8.0, -8.0};
  for (int k = 0; k < 6; ++k) {
    rises.push_back(1.0);
    rises.push_back(3.0);
  }
  const Soak soak = reduce_soak(minutes_of(rises));
  CHECK(soak.status == SoakStatus::settled);
  CHECK(soak.warning.empty());
  CHECK(soak.n_means == 12);
  CHECK_THAT(soak.used_from_min, WithinRel(2.5, rounding));
  CHECK_THAT(soak.rise_k, WithinRel(2.0, rounding));
  CHECK(soak.correlation == 0.0);
  CHECK_THAT(soak.rise_error_k, WithinRel(std::sqrt(1.0 / 11.0), 1e-10));
  CHECK_THAT(soak.rise_half_k, WithinRel(2.2009851601 * std::sqrt(1.0 / 11.0), 1e-10));
  CHECK_THAT(soak.power_w, WithinRel(20.0, rounding));
  CHECK(soak.minutes == 14.0);
}

TEST_CASE("Soak: neighbours that are alike widen the interval", "[soak]") {
  // By hand: 0 0 1 1 0 0 1 1 0 0 1 1 about their mean of 0.5: all squares 0.25, sum 3; products
  // +0.25 six times and -0.25 five times, sum 0.25; r = (12 * 0.25 / 3 + 1) / (12 - 3) = 2/9.
  std::vector<double> residuals;
  for (int k = 0; k < 12; ++k) {
    residuals.push_back(k % 4 < 2 ? -0.5 : 0.5);
  }
  CHECK_THAT(neighbour_correlation(residuals), WithinRel(2.0 / 9.0, rounding));
}

TEST_CASE("Soak: one that never settled gives the end of its approach, and says so", "[soak]") {
  // Without noise the approach is exact: 40 K, 30 min. The last two thirds of 60 min are 40 min.
  std::vector<double> rises;
  for (int k = 0; k < 60; ++k) {
    rises.push_back(40.0 * (1.0 - std::exp(-(k + 0.5) / 30.0)));
  }
  const Soak soak = reduce_soak(minutes_of(rises));
  CHECK(soak.status == SoakStatus::extrapolated);
  CHECK_THAT(soak.rise_k, WithinRel(40.0, 1e-6)); // what the minimisation is asked for
  CHECK_THAT(soak.time_constant_min, WithinRel(30.0, 1e-6));
  CHECK_THAT(soak.warning, ContainsSubstring("never settled"));
}

TEST_CASE("Soak: a straight climb and a handful of minutes give no rise", "[soak]") {
  std::vector<double> climb;
  for (int k = 0; k < 60; ++k) {
    climb.push_back(0.5 * k + (k % 2 == 0 ? 0.05 : -0.05));
  }
  const Soak soak = reduce_soak(minutes_of(climb));
  CHECK(soak.status == SoakStatus::unsettled);
  CHECK(std::isnan(soak.rise_k));
  CHECK_THAT(soak.warning, ContainsSubstring("left out"));
  const Soak brief = reduce_soak(minutes_of(std::vector<double>(9, 20.0)));
  CHECK(brief.status == SoakStatus::unsettled);
  CHECK_THAT(brief.warning, ContainsSubstring("at least 10"));
  CHECK(reduce_soak({}).status == SoakStatus::unsettled);
}

TEST_CASE("Soak: intervals cover the true rise about as often as they say", "[soak]") {
  // Chosen beforehand: at least 88 % and at most 99 % of nominal 95 % intervals, for two-hour soaks
  // that settle (15 min), and for those that have to be extrapolated (35 min in 90 min), 1500 each.
  // Allowances for correlation fall a little short in short series. Found: 90 and 91 %.
  std::mt19937 generator(7);
  constexpr int trials = 1500;
  MadeUp slow;
  slow.tau_min = 35.0;
  slow.minutes = 90;
  for (const MadeUp& made_up : {MadeUp{}, slow}) {
    int covered = 0;
    int given = 0;
    double half = 0.0;
    double bias = 0.0;
    int settled = 0;
    for (int k = 0; k < trials; ++k) {
      const Soak soak = reduce_soak(make_up(made_up, generator));
      if (soak.status == SoakStatus::unsettled) {
        continue;
      }
      ++given;
      settled += soak.status == SoakStatus::settled ? 1 : 0;
      half += soak.rise_half_k;
      bias += soak.rise_k - made_up.end_k;
      covered += std::abs(soak.rise_k - made_up.end_k) <= soak.rise_half_k ? 1 : 0;
    }
    const double share = static_cast<double>(covered) / given;
    std::printf("soaks of %d min, time constant %.0f min: %d of %d reduced, %d settled, coverage "
                "%.3f, mean half-width %.2f K, bias %+.3f K\n",
                made_up.minutes, made_up.tau_min, given, trials, settled, share, half / given,
                bias / given);
    CAPTURE(made_up.tau_min, share, given);
    CHECK(given > trials * 9 / 10);
    CHECK(share >= 0.88);
    CHECK(share <= 0.99);
  }
}

} // namespace tiltfin::tests
