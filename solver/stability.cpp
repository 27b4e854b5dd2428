#include "solver/stability.hpp"

#include "mesh/index.hpp"
#include "solver/arnoldi.hpp"
#include "solver/assembly.hpp"
#include "solver/linear.hpp"
#include "solver/scales.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <optional>

namespace tiltfin {

namespace {

using Complex = std::complex<double>;
using ComplexVector = std::vector<Complex>;

constexpr double largest_residual = 1e-3; // of an eigenpair that is reported
constexpr double same_mode = 1e-2;        // relative distance of one mode found from two shifts
// Shifts stand so far out that slow decay, which crowds there, does not fill their discs.
constexpr double right_of_first = 1.0; // growth over the rate
constexpr double right_of_others = 0.5;
constexpr double overlap = 0.8;        // of the half-width of the last disc, to the next shift
constexpr double smallest_step = 0.02; // between shifts, times the rate

/// Matrices of J x = -sigma M x at a state; M has the places of J.
struct Pencil {
  SparseMatrix jacobian;
  std::shared_ptr<const Fronts> fronts; ///< of its pattern
  std::vector<double> mass;
  std::vector<double> scale; ///< typical size of each unknown
};

/// Per unknown how far it is out in the calm room: 0 inside and near the machine, 1 far out.
std::vector<double> shares_of_room(const Problem& problem, const Unknowns& unknowns) {
  std::vector<double> shares(index(unknowns.n), 0.0);
  const double far = *std::max_element(problem.calm_cell.begin(), problem.calm_cell.end());
  if (far <= 1.0) {
    return shares;
  }
  const auto share = [far](double factor) { return std::min(1.0, (factor - 1.0) / (far - 1.0)); };
  for (std::size_t cell = 0; cell < problem.calm_cell.size(); ++cell) {
    shares[index(unknowns.temperature[cell])] = share(problem.calm_cell[cell]);
  }
  for (std::size_t node = 0; node < problem.calm_node.size(); ++node) {
    if (unknowns.psi[node] >= 0 && unknowns.island[node] < 0) {
      shares[index(unknowns.psi[node])] = share(problem.calm_node[node]);
    }
  }
  return shares;
}

/// `damping` [1/s] of the room's air.
Pencil make_pencil(const Problem& problem, const Unknowns& unknowns, const std::vector<double>& z,
                   double rate, double damping) {
  Jacobian jacobian = make_jacobian(problem, unknowns);
  (void)refill(problem, unknowns, z, {rate, {}}, jacobian);
  std::vector<double> mass = jacobian.matrix.value;
  (void)refill(problem, unknowns, z, {}, jacobian);
  for (std::size_t k = 0; k < mass.size(); ++k) {
    mass[k] = (mass[k] - jacobian.matrix.value[k]) / rate;
  }
  const std::vector<double> shares = shares_of_room(problem, unknowns);
  for (std::size_t column = 0; column < shares.size(); ++column) {
    const int end = jacobian.matrix.column_start[column + 1];
    for (int k = jacobian.matrix.column_start[column]; k < end; ++k) {
      jacobian.matrix.value[index(k)] += damping * shares[column] * mass[index(k)];
    }
  }
  std::shared_ptr<const Fronts> fronts = analyse(jacobian.matrix);
  return {std::move(jacobian.matrix), std::move(fronts), std::move(mass),
          scale_vector(problem, unknowns, measure_scales(problem, unknowns, z))};
}

template <class Scalar>
std::vector<Scalar> times_mass(const Pencil& pencil, const std::vector<Scalar>& x) {
  std::vector<Scalar> result(x.size(), Scalar(0.0));
  for (std::size_t column = 0; column < x.size(); ++column) {
    for (int k = pencil.jacobian.column_start[column]; k < pencil.jacobian.column_start[column + 1];
         ++k) {
      result[index(pencil.jacobian.row[index(k)])] += pencil.mass[index(k)] * x[column];
    }
  }
  return result;
}

/// x -> (J + s M)^-1 M x in units of the unknowns' scales. Its eigenvalues are 1 / (s - sigma).
template <class Scalar>
class ShiftedInverse {
public:
  ShiftedInverse(const Pencil& pencil, Scalar shift)
      : pencil_(pencil), solver_(pencil.fronts, pencil.scale) {
    std::vector<Scalar> value(pencil.mass.size());
    for (std::size_t k = 0; k < value.size(); ++k) {
      value[k] = pencil.jacobian.value[k] + shift * pencil.mass[k];
    }
    regular_ = solver_.factor(pencil.jacobian, value);
  }

  [[nodiscard]] bool regular() const { return regular_; }
  [[nodiscard]] int size() const { return pencil_.jacobian.n; }

  [[nodiscard]] std::vector<Scalar> operator()(std::vector<Scalar> x) const {
    for (std::size_t k = 0; k < x.size(); ++k) {
      x[k] *= pencil_.scale[k];
    }
    std::vector<Scalar> y = solver_.solve(times_mass(pencil_, x));
    for (std::size_t k = 0; k < y.size(); ++k) {
      y[k] /= pencil_.scale[k];
    }
    return y;
  }

private:
  const Pencil& pencil_;
  SparseSolver<Scalar> solver_;
  bool regular_ = false;
};

/// (J + s M)^-1 M applied to complex vectors, with real factors where the shift is real.
class Inverse {
public:
  Inverse(const Pencil& pencil, Complex shift) {
    if (shift.imag() == 0.0) {
      real_.emplace(pencil, shift.real());
    } else {
      complex_.emplace(pencil, shift);
    }
  }

  [[nodiscard]] bool regular() const { return real_ ? real_->regular() : complex_->regular(); }
  [[nodiscard]] int size() const { return real_ ? real_->size() : complex_->size(); }

  [[nodiscard]] std::vector<double> real_part(const std::vector<double>& x) const {
    if (real_) {
      return (*real_)(x);
    }
    const ComplexVector y = (*complex_)(ComplexVector(x.begin(), x.end()));
    std::vector<double> result(y.size());
    std::transform(y.begin(), y.end(), result.begin(), [](const Complex& v) { return v.real(); });
    return result;
  }

  [[nodiscard]] ComplexVector operator()(const ComplexVector& x) const {
    if (complex_) {
      return (*complex_)(x);
    }
    std::vector<double> a(x.size());
    std::vector<double> b(x.size());
    for (std::size_t k = 0; k < x.size(); ++k) {
      a[k] = x[k].real();
      b[k] = x[k].imag();
    }
    a = (*real_)(std::move(a));
    b = (*real_)(std::move(b));
    ComplexVector y(x.size());
    for (std::size_t k = 0; k < x.size(); ++k) {
      y[k] = {a[k], b[k]};
    }
    return y;
  }

private:
  std::optional<ShiftedInverse<double>> real_;
  std::optional<ShiftedInverse<Complex>> complex_;
};

struct Eigenpair {
  Complex sigma;
  double residual = 0.0;
  ComplexVector x; ///< in units of the scales
};

/// The operator's real part has the wanted vectors; the operator itself tells their sigma.
Eigenpair examine(const Inverse& inverse, Complex shift, ComplexVector x) {
  const ComplexVector y = inverse(x);
  Complex product = 0.0;
  double size = 0.0;
  double image = 0.0;
  for (std::size_t k = 0; k < x.size(); ++k) {
    product += std::conj(x[k]) * y[k];
    size += std::norm(x[k]);
    image += std::norm(y[k]);
  }
  const Complex nu = product / size;
  double rest = 0.0;
  for (std::size_t k = 0; k < x.size(); ++k) {
    rest += std::norm(y[k] - nu * x[k]);
  }
  return {shift - 1.0 / nu, std::sqrt(rest / image), std::move(x)};
}

/// What one shift told.
struct Disc {
  std::vector<Eigenpair> pairs;
  double radius = 0.0; ///< nothing nearer to the shift is missing; 0: nothing is known
};

/// `stop` ends a search early: its result is then not used.
Disc search_round(const Pencil& pencil, Complex shift, const StabilityOptions& options) {
  const Inverse inverse(pencil, shift);
  const int wanted = std::min(options.modes, inverse.size() - 2);
  if (!inverse.regular() || wanted < 1) {
    return {};
  }
  const auto stopped = [&] { return options.stop != nullptr && options.stop->load(); };
  Eigenvectors found =
      largest_eigenvectors(inverse.size(), wanted, [&](const std::vector<double>& x) {
        return stopped() ? x : inverse.real_part(x);
      });
  if (stopped()) {
    return {};
  }
  Disc disc;
  if (found.complete) {
    const auto smallest = std::ranges::min(found.values, {}, [](Complex v) { return std::abs(v); });
    disc.radius = certain_radius(shift.imag(), std::abs(smallest));
  }
  for (std::size_t k = 0; k < found.vectors.size(); ++k) {
    if (shift.imag() == 0.0 && found.values[k].imag() < 0.0) {
      continue; // the partner of another
    }
    Eigenpair pair = examine(inverse, shift, std::move(found.vectors[k]));
    if (pair.residual < largest_residual) {
      disc.pairs.push_back(std::move(pair));
    }
  }
  return disc;
}

/// Adds what was not found from another shift yet.
void take_new(std::vector<Eigenpair> found, Complex shift, std::vector<Eigenpair>& pairs) {
  for (Eigenpair& pair : found) {
    const auto near = [&](const Eigenpair& other) {
      const double distance = std::min(std::abs(pair.sigma - other.sigma),
                                       std::abs(std::conj(pair.sigma) - other.sigma));
      return distance < same_mode * std::abs(pair.sigma - shift);
    };
    if (std::none_of(pairs.begin(), pairs.end(), near)) {
      pairs.push_back(std::move(pair));
    }
  }
}

/// Shifts up the axis, each a little less than what the last disc covers above it; where a disc
/// leaves a hole below, the next one stands lower.
template <class Look, class Stopped>
void cover(const StabilityOptions& options, double rate, const Look& look, const Stopped& stopped,
           ModeSearch& search) {
  double step = 0.0;
  while (search.covered < options.highest * rate && search.factorisations < options.max_shifts &&
         !stopped()) {
    const double frequency = search.covered + overlap * step;
    const double half = look(frequency > 0.0 ? right_of_others : right_of_first, frequency);
    if (half > 0.0 && frequency - half <= search.covered) {
      search.covered = frequency + half;
      step = half;
    } else {
      step *= 0.5;
      if (step < smallest_step * rate) {
        return;
      }
    }
  }
}

/// Largest part 1 and real: the phase at which the disturbance is seen best.
Mode make_mode(const Unknowns& unknowns, const Pencil& pencil, Eigenpair pair) {
  const Complex largest =
      *std::max_element(pair.x.begin(), pair.x.end(), [](const Complex& a, const Complex& b) {
        return std::norm(a) < std::norm(b);
      });
  std::vector<double> real(pair.x.size());
  std::vector<double> imaginary(pair.x.size());
  const double direction = pair.sigma.imag() < 0.0 ? -1.0 : 1.0; // else the conjugate mode
  for (std::size_t k = 0; k < pair.x.size(); ++k) {
    const Complex value = pair.x[k] / largest * pencil.scale[k];
    real[k] = value.real();
    imaginary[k] = direction * value.imag();
  }
  return {pair.sigma.real(), std::abs(pair.sigma.imag()), pair.residual, unpack(unknowns, real),
          unpack(unknowns, imaginary)};
}

} // namespace

double time_scale_rate(const Problem& problem, const State& state) {
  const TensorMesh& mesh = problem.mesh;
  const double width = mesh.x.faces.back() - mesh.x.faces.front();
  const double height = mesh.y.faces.back() - mesh.y.faces.front();
  const double gravity = std::hypot(problem.gravity_x, problem.gravity_y);
  const double conduction = std::numbers::pi * std::numbers::pi * problem.air.diffusivity() *
                            (1.0 / (width * width) + 1.0 / (height * height));
  if (gravity == 0.0) {
    return conduction;
  }
  double west_end = mesh.x.faces.back();
  double east_end = mesh.x.faces.front();
  double south_end = mesh.y.faces.back();
  double north_end = mesh.y.faces.front();
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (mesh.region[index(mesh.cell(i, j))] > 0) {
        west_end = std::min(west_end, mesh.x.faces[index(i)]);
        east_end = std::max(east_end, mesh.x.faces[index(i) + 1]);
        south_end = std::min(south_end, mesh.y.faces[index(j)]);
        north_end = std::max(north_end, mesh.y.faces[index(j) + 1]);
      }
    }
  }
  const bool any_solid = east_end > west_end;
  const double along_x = any_solid ? east_end - west_end : width;
  const double along_y = any_solid ? north_end - south_end : height;
  const double length =
      (std::abs(problem.gravity_x) * along_x + std::abs(problem.gravity_y) * along_y) / gravity;
  const auto [cold, hot] = std::minmax_element(state.temperature.begin(), state.temperature.end());
  return std::max(std::sqrt(gravity * problem.air.expansion * (*hot - *cold) / length), conduction);
}

double certain_radius(double imaginary, double smallest) {
  if (imaginary == 0.0) {
    return 1.0 / smallest;
  }
  const double product = imaginary * smallest;
  return (2.0 * product + 1.0 - std::sqrt(4.0 * product * product + 1.0)) / (2.0 * smallest);
}

ModeSearch leading_modes(const Problem& problem, const State& state,
                         const StabilityOptions& options) {
  const Unknowns unknowns = number_unknowns(problem);
  const double rate = time_scale_rate(problem, state);
  const Pencil pencil =
      make_pencil(problem, unknowns, pack(unknowns, state), rate, options.room_damping * rate);
  ModeSearch search;
  std::vector<Eigenpair> pairs;
  const auto look = [&](double right,
                        double frequency) { // half of what the disc covers of the axis
    const Complex shift(right * rate, frequency);
    Disc disc = search_round(pencil, shift, options);
    ++search.factorisations;
    take_new(std::move(disc.pairs), shift, pairs);
    const double square = disc.radius * disc.radius - shift.real() * shift.real();
    return std::sqrt(std::max(0.0, square));
  };
  const auto stopped = [&] { return options.stop != nullptr && options.stop->load(); };
  for (const double frequency : options.frequencies) {
    (void)look(options.growth, frequency * rate);
  }
  if (options.frequencies.empty()) {
    cover(options, rate, look, stopped, search);
  }
  if (stopped()) {
    return {.modes = {}, .covered = 0.0, .factorisations = search.factorisations};
  }
  std::stable_sort(pairs.begin(), pairs.end(), [](const Eigenpair& a, const Eigenpair& b) {
    return a.sigma.real() > b.sigma.real();
  });
  search.modes.reserve(pairs.size());
  for (Eigenpair& pair : pairs) {
    search.modes.push_back(make_mode(unknowns, pencil, std::move(pair)));
  }
  return search;
}

} // namespace tiltfin
