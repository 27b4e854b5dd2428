# Writes a source that holds every cases/starters/*.toml: what starters() returns. Done when the
# build is configured, which a change of such a file asks for.
function(tiltfin_embed_starters target)
  file(GLOB files CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/cases/starters/*.toml)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${files})
  list(SORT files)
  list(LENGTH files count)
  set(entries "")
  foreach(file IN LISTS files)
    get_filename_component(type ${file} NAME_WE)
    file(READ ${file} text)
    string(APPEND entries "      {\"${type}\", R\"starter(${text})starter\"},\n")
  endforeach()
  set(source ${PROJECT_BINARY_DIR}/starters/starter_texts.cpp)
  file(CONFIGURE OUTPUT ${source} @ONLY CONTENT "// Made by cases/starters/embed.cmake.
#include \"cases/file/starters.hpp\"

#include <array>

namespace tiltfin {

std::span<const Starter> starters() {
  static constexpr std::array<Starter, @count@> all{{
@entries@  }};
  return all;
}

} // namespace tiltfin
")
  target_sources(${target} PRIVATE ${source})
endfunction()
