#pragma once
// A package serves any processor; where one does more, a build for it takes over.

namespace tiltfin {

/// Which instructions this program is compiled for, in words.
[[nodiscard]] const char* compiled_for();

/// Starts the program for processors with AVX2 in this one's place, where it was installed beside
/// this one and the processor has what it needs; returns where not.
void hand_over(char** argv);

} // namespace tiltfin
