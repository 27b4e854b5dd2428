# What `cmake --install` puts where, and the Debian package that `cpack` makes of it: the program, its
# manual pages and completions (written by the program itself), shipped cases, documents, licences.
#
#   cmake --preset release && cmake --build --preset release --target tiltfin_written
#   cmake --install build/release --prefix /usr/local
#
#   sh tests/install.sh help2man dpkg-dev file
#   cmake --preset package && cmake --build --preset package && (cd build/package && cpack)
#   apt-get install ./build/package/tiltfin_*.deb
#
# With help2man there are manual pages. The program is build/release/tiltfin alone, too: it reads no
# file but those it is given.
include(GNUInstallDirs)

install(TARGETS tiltfin RUNTIME)

# A package serves any processor. With this option the program is built twice: for any x86-64, and for
# those with AVX2, which the first hands over to where it runs (cases/commands/processor.cpp).
option(TILTFIN_BOTH "Build the program for any processor, and beside it for those with AVX2" OFF)
if(TILTFIN_BOTH)
  if(TILTFIN_AVX2)
    message(FATAL_ERROR "TILTFIN_BOTH: found TILTFIN_AVX2=ON, allowed OFF: the first is for any processor")
  endif()
  include(ExternalProject)
  ExternalProject_Add(tiltfin_avx2
    SOURCE_DIR ${PROJECT_SOURCE_DIR} BINARY_DIR ${PROJECT_BINARY_DIR}/avx2 INSTALL_COMMAND "" BUILD_ALWAYS ON
    CMAKE_ARGS -DCMAKE_BUILD_TYPE=Release -DTILTFIN_AVX2=ON -DTILTFIN_TESTS=OFF
      -DCMAKE_CXX_COMPILER=${CMAKE_CXX_COMPILER} -DCMAKE_CXX_COMPILER_LAUNCHER=${CMAKE_CXX_COMPILER_LAUNCHER}
      -DTILTFIN_VTK_HEADERS=${TILTFIN_VTK_HEADERS} -DCMAKE_EXE_LINKER_FLAGS=-s
    BUILD_COMMAND ${CMAKE_COMMAND} --build . --target tiltfin)
  set(beside ${CMAKE_INSTALL_LIBDIR}/tiltfin)
  install(PROGRAMS ${PROJECT_BINARY_DIR}/avx2/tiltfin DESTINATION ${beside} RENAME tiltfin-avx2)
  file(RELATIVE_PATH from_program ${CMAKE_INSTALL_FULL_BINDIR} ${CMAKE_INSTALL_FULL_LIBDIR}/tiltfin/tiltfin-avx2)
  set_source_files_properties(cases/commands/processor.cpp PROPERTIES
    COMPILE_DEFINITIONS "TILTFIN_AVX2_PROGRAM=\"${from_program}\"")
endif()

# Written by the program once it is built.
set(written ${PROJECT_BINARY_DIR}/written)
set(pages "")
find_program(HELP2MAN help2man)
if(HELP2MAN)
  set(pages ${written}/man/tiltfin.1)
  add_custom_command(OUTPUT ${pages} DEPENDS tiltfin cases/commands/manual.cmake
    COMMAND ${CMAKE_COMMAND} -DTILTFIN=$<TARGET_FILE:tiltfin> -DHELP2MAN=${HELP2MAN}
      -DVERSION=${PROJECT_VERSION} -DOUT=${written}/man -P ${PROJECT_SOURCE_DIR}/cases/commands/manual.cmake
    COMMENT "Manual pages from the program's help")
  install(DIRECTORY ${written}/man/ DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 FILES_MATCHING PATTERN *.1)
else()
  message(STATUS "no help2man: without manual pages")
endif()
file(MAKE_DIRECTORY ${written})
add_custom_command(OUTPUT ${written}/tiltfin.bash ${written}/_tiltfin DEPENDS tiltfin
  COMMAND tiltfin completion bash > ${written}/tiltfin.bash
  COMMAND tiltfin completion zsh > ${written}/_tiltfin
  COMMENT "Completions from the program's options")
add_custom_target(tiltfin_written ALL DEPENDS ${pages} ${written}/tiltfin.bash ${written}/_tiltfin)
install(FILES ${written}/tiltfin.bash RENAME tiltfin
  DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)
if(TILTFIN_BOTH) # where Debian's zsh looks for what packages bring
  set(completions_of_zsh vendor-completions)
else()
  set(completions_of_zsh site-functions)
endif()
install(FILES ${written}/_tiltfin DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/${completions_of_zsh})

# Documents lead to each other and to cases and pictures: they keep their places.
file(GLOB_RECURSE documents RELATIVE ${PROJECT_SOURCE_DIR} CONFIGURE_DEPENDS cases/*.md solver/*.md post/*.md
  tests/*.md validation/*.md cases/*.toml cases/*.svg cases/observatory-logs/*.csv)
foreach(document IN LISTS documents ITEMS README.md DEVELOPERS.md)
  get_filename_component(place ${document} DIRECTORY)
  install(FILES ${document} DESTINATION ${CMAKE_INSTALL_DATADIR}/tiltfin/${place})
endforeach()

# Licences: ours, and of what is compiled into the program, as Debian's packages state them. Those of
# VTK's headers stand with its libraries. Only a package needs them all.
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} RENAME copyright)
foreach(package libjs-chart.js libeigen3-dev libspectra-dev libcli11-dev nlohmann-json3-dev libfmt-dev
    libtomlplusplus-dev libboost${Boost_VERSION_MAJOR}.${Boost_VERSION_MINOR}-dev libvtk${vtk_version})
  if(EXISTS /usr/share/doc/${package}/copyright)
    install(FILES /usr/share/doc/${package}/copyright DESTINATION ${CMAKE_INSTALL_DOCDIR}/licences RENAME ${package})
  elseif(TILTFIN_BOTH)
    message(FATAL_ERROR "TILTFIN_BOTH: found no /usr/share/doc/${package}/copyright, needed: a package holds the "
      "licences of what is compiled into it")
  endif()
endforeach()

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME tiltfin)
set(CPACK_PACKAGE_VENDOR tiltfin)
set(CPACK_PACKAGE_CONTACT "the tiltfin authors <tiltfin@example.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "how well a finned, fanless cooler works when the machine is turned")
set(CPACK_PACKAGE_DESCRIPTION "From a description of cooler, board, case and room: buoyant air, conduction and
radiation in every orientation; power limits, pictures, and why they differ.")
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
include(CPack)
