# Warnings, sanitizers and build speed for our own targets. Dependencies are SYSTEM and stay quiet.
add_library(lotwright_options INTERFACE)
target_compile_options(lotwright_options INTERFACE
  -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wshadow -Wold-style-cast
  -Wnon-virtual-dtor -Woverloaded-virtual -Wdouble-promotion -Wformat=2 -Wimplicit-fallthrough
  -Wcast-align -Wextra-semi -Wswitch-enum -Wundef -Wsuggest-override
  $<$<CXX_COMPILER_ID:GNU>:-Wduplicated-cond -Wduplicated-branches -Wlogical-op>
  $<$<CXX_COMPILER_ID:Clang>:-Wthread-safety -Wunreachable-code>
  $<$<BOOL:${LOTWRIGHT_WERROR}>:-Werror>)
# Results are the same on every machine: no fused or reassociated floating point.
target_compile_options(lotwright_options INTERFACE -ffp-contract=off)
target_include_directories(lotwright_options INTERFACE "${CMAKE_SOURCE_DIR}/src")

if(LOTWRIGHT_SANITIZE)
  add_compile_options(-fsanitize=${LOTWRIGHT_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  add_link_options(-fsanitize=${LOTWRIGHT_SANITIZE})
  # g++ 12 sees uninitialised members of std::variant where instrumentation stands between.
  add_compile_options($<$<CXX_COMPILER_ID:GNU>:-Wno-maybe-uninitialized>)
endif()

find_program(CCACHE_PROGRAM ccache)
if(CCACHE_PROGRAM AND NOT CMAKE_CXX_COMPILER_LAUNCHER)
  set(CMAKE_CXX_COMPILER_LAUNCHER "${CCACHE_PROGRAM}")
endif()
find_program(MOLD_PROGRAM mold)
if(MOLD_PROGRAM)
  add_link_options(-fuse-ld=mold)
endif()
