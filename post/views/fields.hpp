#pragma once
// The fields of a condition as a VTK rectilinear grid (.vtr, XML, appended, zlib), to disk and
// back.

#include "post/numbers/outcome.hpp"
#include "post/views/seen_flow.hpp"
#include "solver/steady.hpp"

#include <filesystem>
#include <stdexcept>
#include <string>

namespace tiltfin {

/// Cell arrays: temperature_c, velocity_m_per_s (3 components), pressure_pa (reduced by the
/// hydrostatic part, NaN in solids), material (0 air, k + 1 solid k), heat_release_w_per_m3, and
/// with fin media fin_temperature_c and porosity.
/// Point array: streamfunction_m2_per_s. Field data: gravity_m_per_s2 (3), power_w, panel,
/// orientation, status, depth_m, material_names; of a body of revolution axis_distance_m.
/// Coordinates in m, board frame. After the grid comes a comment with the file's name, its case and
/// a checksum (post/text/checksum.hpp). Written to a temporary name and renamed; throws WriteError
/// on failure.
void write_fields(const std::filesystem::path& path, const Section& section,
                  const Solution& solution, const Outcome& outcome, const std::string& case_crc32);

/// A file of fields that is missing, not as it was written, or not of the condition: which file
/// and why.
struct FieldsError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// What write_fields wrote of `outcome`'s condition on `section`; of the air's density, which is
/// not in the file, nothing (0). Temperatures come back to rounding. `case_crc32`: of the case that
/// it must be of; "": any. Throws FieldsError.
[[nodiscard]] SeenFlow read_fields(const std::filesystem::path& path, const Section& section,
                                   const Outcome& outcome, const std::string& case_crc32);

} // namespace tiltfin
