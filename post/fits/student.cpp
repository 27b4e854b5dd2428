#include "post/fits/student.hpp"

#include <boost/math/distributions/students_t.hpp>

#include <algorithm>

namespace tiltfin {

double student_quantile(double degrees) {
  return quantile(boost::math::students_t(std::max(1.0, degrees)), 0.975);
}

} // namespace tiltfin
