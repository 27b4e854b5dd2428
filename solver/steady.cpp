#include "solver/steady.hpp"

#include "mesh/index.hpp"
#include "solver/assembly.hpp"
#include "solver/linear.hpp"
#include "solver/scales.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

namespace tiltfin {

namespace {

/// Step that warms the fastest cell of air at rest by `change` kelvin.
double first_rate(const Problem& problem, const Unknowns& unknowns, const std::vector<double>& f,
                  double change) {
  double fastest = 0.0;
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      const int cell = problem.mesh.cell(i, j);
      const double capacity = problem.air.density * problem.air.heat_capacity *
                              problem.mesh.x.width(i) * problem.mesh.x_face_area(j);
      const double warming = std::abs(f[index(unknowns.temperature[index(cell)])]) / capacity;
      fastest = std::max(fastest, warming);
    }
  }
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    const double capacity = problem.air.density * problem.air.heat_capacity *
                            problem.media[k].volume * (1.0 - problem.media[k].porosity);
    fastest = std::max(fastest, std::abs(f[index(unknowns.fin_temperature[k])]) / capacity);
  }
  return fastest / change;
}

constexpr double largest_imbalance = 1e-7;    // a tenth of what a report promises
constexpr double too_large = 3.0;             // times the wanted change: the step is rejected
constexpr int start_steps = 40;               // of a cold start that follow the physical start-up
constexpr double late_change = 3.0;           // times the wanted change: steps after the start-up
constexpr int max_corrections = 6;            // Newton iterations of an implicit step
constexpr double small_correction = 0.02;     // relative change at which an implicit step is solved
constexpr double contraction = 0.7;           // slower than this: the step is rejected
constexpr double largest_newton_change = 0.5; // larger: back to pseudo-time
constexpr double newton_progress = 0.9; // of one step over the last; slower: back to pseudo-time
constexpr double newton_change = 0.03;  // below it old factors are tried again
constexpr double worthwhile = 0.2;      // residual ratio that makes old factors worth a solve

class Iteration {
public:
  Iteration(const Problem& problem, const SteadyOptions& options)
      : problem_(problem),
        options_(options),
        unknowns_(number_unknowns(problem)),
        jacobian_(make_jacobian(problem, unknowns_)),
        solver_(jacobian_.matrix,
                scale_vector(problem, unknowns_, {problem.air.diffusivity(), 1.0})) {}

  SolveReport run(State& state) {
    const auto begin = std::chrono::steady_clock::now();
    z_ = pack(unknowns_, state);
    rate_ = options_.cold ? -1.0 : 0.0;
    while (report_.steps < options_.max_steps && !finished_) {
      step();
      const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
      report_.seconds = elapsed.count();
      if (options_.watch) {
        options_.watch(report_);
      }
      if (!finished_ && options_.stop != nullptr && options_.stop->load()) {
        report_.status = SolveStatus::stopped;
        break;
      }
    }
    state = unpack(unknowns_, z_);
    return report_;
  }

private:
  bool judge(const std::vector<double>& f, const std::vector<double>& scale) {
    report_.residual = relative_residual(jacobian_.matrix, f, scale);
    const bool steady_rows = rate_ == 0.0; // a time term would swell the rows' sizes
    if (steady_rows && report_.residual < options_.tolerance &&
        heat_imbalance(problem_, unknowns_, f) < largest_imbalance) {
      report_.status = SolveStatus::converged;
      finished_ = true;
    }
    return finished_;
  }

  void step() {
    ++report_.steps;
    TimeTerm time = time_term();
    std::vector<double> f = refill(problem_, unknowns_, z_, time, jacobian_);
    if (rate_ < 0.0) { // a cold start chooses its first step from the residual
      rate_ = first_rate(problem_, unknowns_, f, options_.relative_change);
      time = time_term();
      f = refill(problem_, unknowns_, z_, time, jacobian_);
    }
    const std::vector<double> scale =
        scale_vector(problem_, unknowns_, measure_scales(problem_, unknowns_, z_));
    if (judge(f, scale)) {
      return;
    }
    ++report_.factorisations;
    if (!solver_.factor(jacobian_.matrix)) {
      slow_down(f, 10.0);
      return;
    }
    const std::vector<double> before = z_;
    const double change = advance(f, scale);
    if (!(change < too_large * wanted_change())) {
      slow_down(f, std::isfinite(change) ? change / wanted_change() : 10.0);
      return;
    }
    if (rate_ == 0.0) {
      newton_limit_ = newton_progress * change;
      if (change < newton_change) {
        polish(scale);
      }
      return;
    }
    const int corrections = correct(time, scale, change);
    if (corrections > max_corrections) {
      z_ = before;
      slow_down(f, 3.0);
      return;
    }
    // Geometric mean over about ten steps: the scale of the flow's own changes.
    report_.time_step = report_.time_step > 0.0
                            ? std::pow(report_.time_step, 0.9) * std::pow(1.0 / rate_, 0.1)
                            : 1.0 / rate_;
    speed_up(change, corrections);
  }

  /// A cold start follows the physical start-up; later only the steady state is wanted.
  [[nodiscard]] double wanted_change() const {
    if (rate_ == 0.0) {
      return newton_limit_ / too_large;
    }
    const bool starting = options_.cold && report_.steps <= start_steps;
    return starting ? options_.relative_change : late_change * options_.relative_change;
  }

  /// Newton iterations of one implicit step, with the factors of its first and, when these no
  /// longer contract, once with new ones: how many were needed, or more than max_corrections.
  int correct(const TimeTerm& time, const std::vector<double>& scale, double change) {
    double last = change;
    bool renewed = false;
    for (int k = 0; k <= max_corrections; ++k) {
      if (last < small_correction) {
        return k;
      }
      const double now = advance(residual(problem_, unknowns_, z_, time), scale);
      if (!(now < contraction * last)) {
        if (renewed || !(now < too_large * wanted_change())) {
          break;
        }
        renewed = true;
        const std::vector<double> f = refill(problem_, unknowns_, z_, time, jacobian_);
        ++report_.factorisations;
        if (!solver_.factor(jacobian_.matrix)) {
          break;
        }
        last = advance(f, scale);
        continue;
      }
      last = now;
    }
    return max_corrections + 1;
  }

  [[nodiscard]] TimeTerm time_term() const {
    TimeTerm time;
    if (rate_ > 0.0) {
      time.rate = rate_;
      time.history = z_;
      for (double& value : time.history) {
        value *= rate_;
      }
    }
    return time;
  }

  /// One linearised step with the current factors; z moves only when the change is acceptable.
  double advance(const std::vector<double>& f, const std::vector<double>& scale) {
    const std::vector<double> dz = solver_.solve(f);
    const double change = relative_change(unknowns_, dz, scale);
    if (change < too_large * wanted_change()) {
      for (std::size_t k = 0; k < z_.size(); ++k) {
        z_[k] -= dz[k];
      }
    }
    return change;
  }

  /// Further Newton steps with the same factors, as long as each pays.
  void polish(const std::vector<double>& scale) {
    double last = report_.residual;
    while (true) {
      const std::vector<double> f = residual(problem_, unknowns_, z_);
      if (judge(f, scale) || !(report_.residual < worthwhile * last)) {
        return;
      }
      last = report_.residual;
      if (!(advance(f, scale) < newton_change)) {
        return;
      }
    }
  }

  void slow_down(const std::vector<double>& f, double factor) {
    if (rate_ == 0.0) {
      rate_ = first_rate(problem_, unknowns_, f, 30.0 * options_.relative_change);
    } else {
      rate_ *= std::clamp(factor, 2.0, 10.0);
    }
  }

  void speed_up(double change, int corrections) {
    const double slowest = corrections <= 2 ? 0.1 : (corrections <= 4 ? 0.7 : 1.0);
    rate_ *= std::clamp(change / wanted_change(), slowest, 2.0);
    if (change < newton_change && rate_ < 1e-3) {
      rate_ = 0.0;
      newton_limit_ = largest_newton_change;
    }
  }

  const Problem& problem_;
  const SteadyOptions& options_;
  Unknowns unknowns_;
  Jacobian jacobian_;
  LinearSolver solver_;
  std::vector<double> z_;
  SolveReport report_;
  double rate_ = 0.0;
  double newton_limit_ = largest_newton_change; ///< of the next step: Newton's method must contract
  bool finished_ = false;
};

} // namespace

const char* name(SolveStatus status) {
  switch (status) {
  case SolveStatus::converged:
    return "converged";
  case SolveStatus::time_average:
    return "time average";
  case SolveStatus::not_converged:
    return "not converged";
  case SolveStatus::stopped:
    return "stopped";
  }
  return "";
}

SolveReport solve_steady(const Problem& problem, State& state, const SteadyOptions& options) {
  return Iteration(problem, options).run(state);
}

} // namespace tiltfin
